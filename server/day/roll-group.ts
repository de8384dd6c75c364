import type { RollState } from './contract.js';
import { type GroupSaid, standingEntries } from './ledger.js';
import type { One } from './roll-rows.js';
import { stopName } from './roll-words.js';
import { placeOf } from './tap.js';

/** Who walks last, and who could: the leaders, and the adults who are here. Pure. */
export function backModel(roll: RollState, ones: One[], back: string | null) {
  const walking = ones
    .filter(({ person, now }) => !person.minor && ['arrived', 'set off', 'stop'].includes(now.state))
    .map((one) => one.person);
  const options = [...roll.leaders, ...walking].map((one) => ({ value: one.who, label: one.name, selected: one.who === back }));
  const name = [...roll.leaders, ...roll.people].find((one) => one.who === back)?.name ?? null;
  return { name, options };
}

/** Counting heads instead of tapping each: offered while nobody was tapped at this place. Pure. */
export function headsModel(at: GroupSaid, ones: One[]) {
  if (at.at !== 'stop' && at.at !== 'finish') return null;
  const tapped = ones.some(({ now }) => (at.at === 'stop' ? now.state === 'stop' && now.stop >= at.stop : now.state === 'finished'));
  const out = ones.some(({ now }) => now.state === 'set off' || now.state === 'stop');
  return tapped || !out ? null : { at: placeOf(at) };
}

/** Where the group goes from here, and where it is put back to. Pure. */
export function groupModel(at: GroupSaid, roll: RollState) {
  const after = standingEntries(roll.entries.filter((entry) => entry.who === 'group'))
    .map((entry) => entry.entry)
    .join(',');
  const toStop = (stop: number) => ({ kind: 'stop', stop, label: `We are at stop ${stop}: ${stopName(stop, roll)}` });
  const here = at.at === 'stop' ? at.stop : 0;
  const finish = { kind: 'finish', stop: null, label: 'We are at the finish' };
  const next = here < roll.stops.length ? toStop(here + 1) : finish;
  const putBack = (kind: string, stop: number | null, words: string) => ({ kind, stop, label: `Put back: ${words}` });
  const before =
    here > 1
      ? putBack('stop', here - 1, `the group is at ${stopName(here - 1, roll)}`)
      : putBack('back to set off', null, 'the group is on its way');
  if (at.at === 'gathering') return { after, gathering: true, next: null, back: null };
  if (at.at === 'set off') return { after, gathering: false, next, back: putBack('gathering', null, 'the group has not set off') };
  if (at.at === 'stop') return { after, gathering: false, next, back: before };
  const last = roll.stops.length;
  return {
    after,
    gathering: false,
    next: null,
    back: last > 0 ? putBack('stop', last, `the group is at ${stopName(last, roll)}`) : before,
  };
}
