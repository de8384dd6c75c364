import type { RollPerson, RollState } from './contract.js';
import { guardianNow } from './guardians.js';
import { type GroupSaid, type PersonSaid, type Standing, standingEntries } from './ledger.js';
import { clockAt, saidWords, underName } from './roll-words.js';

/** A button of a row: what it says of the person. */
interface Button {
  kind: string;
  label: string;
  stop?: number;
}

/** One person's row. */
export interface Row {
  who: string;
  name: string;
  minor: boolean;
  under: { words: string; alert: boolean }[];
  /** What the row's buttons answer. */
  after: string;
  main: Button | null;
  second: Button | null;
  /** Where nothing is left to tap: what stands and since when. */
  stands: { words: string; at: string | null; long: boolean } | null;
  /** Where two phones differ: a button for each. */
  claims: { words: string; at: string; kind: string; stop: number | null; told: string | null; home: string | null }[];
}

/** Someone on the roll with how they stand. */
export interface One {
  person: RollPerson;
  now: Standing;
  /** When what stands was said, ms. */
  at: number | null;
}

interface Around {
  roll: RollState;
  at: GroupSaid;
  back: string | null;
  mayWrite: boolean;
}

/** A person's row: who, what there is to tap where the group is, or what stands. Pure. */
export function rowOf(one: One, { roll, at, back, mayWrite }: Around): Row {
  const { person, now } = one;
  const guardian = person.minor ? (guardianNow(person, roll.people, roll.entries)?.name ?? person.guardian) : null;
  const main = mayWrite ? mainButton(now, at) : null;
  const isDisputed = now.state === 'disputed';
  return {
    who: person.who,
    name: person.name,
    minor: person.minor,
    under: underName(person, guardian, person.who === back, !['expected', 'arrived'].includes(now.state)),
    after: now.heads.join(','),
    main,
    second:
      mayWrite && !isDisputed && (now.state === 'expected' || (now.state === 'arrived' && at.at !== 'gathering'))
        ? { kind: 'not walking', label: 'Not walking' }
        : null,
    stands:
      main || isDisputed
        ? null
        : { words: standsWords(now, roll), at: one.at === null ? null : clockAt(one.at, roll).clock, long: now.state === 'left' },
    claims: isDisputed ? claimsOf(person.who, roll) : [],
  };
}

/** What a person is tapped for where the group is; null where nothing is left to say. */
function mainButton({ state, stop }: Standing, at: GroupSaid): Button | null {
  if (at.at === 'gathering') return state === 'expected' ? { kind: 'arrived', label: 'Arrived' } : null;
  if (state === 'expected' || state === 'arrived') return { kind: 'set off', label: 'Set off' };
  if (state !== 'set off' && state !== 'stop') return null;
  if (at.at === 'finish') return { kind: 'finished', label: 'Finished' };
  return at.at === 'stop' && (state === 'set off' || stop < at.stop) ? { kind: 'stop', label: 'Here', stop: at.stop } : null;
}

function standsWords({ said, state }: Standing, roll: RollState): string {
  const [one] = said;
  return one && state !== 'expected' ? saidWords(one, roll) : 'to come';
}

function claimsOf(who: string, roll: RollState): Row['claims'] {
  return standingEntries(roll.entries.filter((entry) => entry.who === who)).map((entry) => {
    const said = entry.said as PersonSaid;
    return {
      words: saidWords(said, roll),
      at: clockAt(entry.at, roll).clock,
      kind: said.kind,
      stop: 'stop' in said ? said.stop : null,
      told: said.kind === 'left' ? said.told : null,
      home: said.kind === 'left' ? said.home : null,
    };
  });
}
