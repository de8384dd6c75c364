import type { RollState } from '../contract.js';
import { backMarker, byPerson, type Entry, groupAt, type Said, standing } from '../ledger.js';
import type { Tapped } from '../tap.js';

/** What takes these taps back: what was said before; null where a tap can't say it, because two phones differed. Pure. */
export function undoOf(tapped: readonly Tapped[], before: RollState): { who: string; said: Said }[] | null {
  const people = byPerson(before.entries);
  const undo = tapped.map(({ who, said }) => {
    if (who === 'group') return { who, said: groupAt(before.entries) };
    const back = backMarker(before.entries);
    if (who === 'back') return back === null ? null : { who, said: { kind: 'back', who: back } as const };
    if (said.kind === 'with') return null;
    const { said: stood } = standing(people.get(who) ?? []);
    return stood.length > 1 ? null : { who, said: stood[0] ?? ({ kind: 'expected' } as const) };
  });
  // A back marker named for the first time stays when the group is put back.
  const kept = undo.filter((one, index) => one !== null || tapped[index]?.who !== 'back');
  return kept.every((one) => one !== null) && kept.length > 0 ? kept : null;
}

/** The entries that say so now, each answering what stands. Pure. */
export function answering(all: readonly { who: string; said: Said }[], entries: readonly Entry[]): Tapped[] {
  const people = byPerson(entries);
  return all.map(({ who, said }) => ({ who, said, after: standing(people.get(who) ?? []).heads }));
}
