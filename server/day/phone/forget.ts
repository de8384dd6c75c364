import { cacheOf, walkOfCache } from './addresses.js';
import type { Kept } from './keep.js';

const DAY_MS = 24 * 3_600_000;
const KEPT_DAYS = 3;
/** What was never sent may be all there is of a walk. */
const UNSENT_KEPT_DAYS = 30;

/** Said to every open roll before what is kept goes, so that none writes it anew: to those of this tab as an event, to others on a channel. */
const FORGET = 'waymeet-forget';

export function sayForget(): void {
  dispatchEvent(new Event(FORGET));
  if ('BroadcastChannel' in globalThis) new BroadcastChannel(FORGET).postMessage('now');
}

export function hearForget(heard: () => void): void {
  addEventListener(FORGET, heard);
  if ('BroadcastChannel' in globalThis) new BroadcastChannel(FORGET).addEventListener('message', heard);
}

/** Removes all that this browser keeps of one roll. */
export async function forgetRoll(kept: Kept | null, walk: number): Promise<void> {
  await kept?.forget(walk);
  if ('caches' in globalThis) await caches.delete(cacheOf(walk));
}

/** Removes the page and the roll's names; what was tapped and never sent waits until someone signs in again: ids, and the name of whoever turned up. */
export async function forgetShown(kept: Kept | null, walk: number): Promise<void> {
  await kept?.forgetState(walk);
  if ('caches' in globalThis) await caches.delete(cacheOf(walk));
}

/** Removes every roll, and this browser's name. */
export async function forgetEverything(kept: Kept | null): Promise<void> {
  await kept?.forgetAll();
  await dropCaches(() => true);
}

/** Removes the rolls of walks long over. @param now by the phone's clock, ms @param open the walk that is being looked at */
export async function forgetOld(kept: Kept, now: number, open: number): Promise<void> {
  const rolls = await kept.rolls();
  const old = rolls.filter(
    ({ walk, keptAt, unsent }) => walk !== open && now - keptAt > (unsent > 0 ? UNSENT_KEPT_DAYS : KEPT_DAYS) * DAY_MS,
  );
  for (const { walk } of old) await kept.forget(walk);
  const left = new Set([open, ...rolls.filter((roll) => !old.includes(roll)).map(({ walk }) => walk)]);
  await dropCaches((walk) => !left.has(walk));
}

async function dropCaches(which: (walk: number) => boolean): Promise<void> {
  if (!('caches' in globalThis)) return;
  for (const name of await caches.keys()) {
    const walk = walkOfCache(name);
    if (walk !== null && which(walk)) await caches.delete(name);
  }
}
