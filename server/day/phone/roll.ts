import type { RollState } from '../contract.js';
import { forgetOld, forgetRoll } from './forget.js';
import { type Held, newest, stillUnknown, stillUnsent } from './held.js';
import { newId } from './ids.js';
import { type Kept, openKept } from './keep.js';
import { LiveRoll } from './live.js';
import { openWithoutSignal } from './offline.js';
import { RollPage } from './page.js';
import { startSending } from './sender.js';

/** As the service serves it: the same address for good. */
const WORKER = '/roll-worker.js';
/** So often the timer is drawn anew. */
const TIMER_MS = 20_000;

/** What the page brought, and what this browser kept of it: the page itself may be the kept one, and older. */
async function hold(state: RollState, kept: Kept | null): Promise<Held> {
  const stored = await kept?.read(state.walk);
  const now = stored?.state ? newest(state, stored.state) : state;
  return {
    state: now,
    clockAhead: stored?.state && stored.state.now >= state.now ? stored.clockAhead : state.now - Date.now(),
    unsent: stillUnsent(stored?.unsent ?? [], now),
    names: stillUnknown(stored?.names ?? [], now),
  };
}

async function start(state: RollState, place: HTMLElement): Promise<void> {
  const kept = await openKept();
  const held = await hold(state, kept);
  if (held.state.closed && held.unsent.length === 0) return forgetRoll(kept, state.walk);
  // A coordinator reads it.
  if (!place.classList.contains('writes')) return;
  const device = (await kept?.device(newId())) ?? newId();
  const roll = new LiveRoll(held, kept, device, () => page.draw());
  const page: RollPage = new RollPage(
    roll,
    () => sender.soon(),
    () => void sender.now(),
  );
  const sender = startSending(roll);
  place.replaceChildren(page.element);
  setInterval(() => page.draw(), TIMER_MS);
  addEventListener('beforeunload', (event) => {
    if (!roll.keeps && roll.unsent > 0) event.preventDefault();
  });
  await sender.now();
  if (roll.trouble === 'signed out') return;
  // After what was tapped is safe, so that the kept page is the newest.
  if (kept) await Promise.all([openWithoutSignal(state.walk, WORKER), forgetOld(kept, Date.now(), state.walk)]);
}

const block = document.getElementById('roll');
const place = document.getElementById('roll-page');
if (block && place) void start(JSON.parse(block.textContent ?? '') as RollState, place);
