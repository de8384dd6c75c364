import { line, type Typed } from '../web/forms.js';
import type { LaterPlan } from './plan-later.js';

/** Whether a form is about this walk and the later ones of its series. */
export function isForLater(typed: Typed): boolean {
  return line(typed, 'scope') === 'later';
}

/** The versions of the later walks that whoever sent the form had seen (`later[w17]`: "3", since bare numbers would make a list); null where it shows none yet. */
export function versionsSeen(typed: Typed): Map<number, number> | null {
  const given = typed.later;
  if (typeof given !== 'object') return null;
  return new Map(
    Object.entries(given).map(([id, version]) => [Number(id.slice(1)), Number(typeof version === 'string' ? version : Number.NaN)]),
  );
}

/** Whether the later walks stand as they were seen: the same ones, each at its version. */
export function isAsSeen(later: Pick<LaterPlan, 'walk' | 'mine'>[], seen: Map<number, number>): boolean {
  const mine = later.filter((one) => one.mine);
  return mine.length === seen.size && mine.every(({ walk }) => seen.get(walk.id) === walk.version);
}

/** The versions as a form carries them. */
export function laterFields(later: Pick<LaterPlan, 'walk' | 'mine'>[]): { name: string; value: string }[] {
  return later.filter((one) => one.mine).map(({ walk }) => ({ name: `later[w${walk.id}]`, value: String(walk.version) }));
}
