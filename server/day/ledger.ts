/*
 * The roll as a ledger. It runs in the service and on the phone alike, so it imports nothing.
 *
 * Each entry names the entries that it answers: those that the phone showed, of the same person, when it was tapped. What nothing answers
 * stands. Two phones that heard of the same entries therefore show the same roll, in whatever order they came and whatever their clocks say.
 */

/** Whom to leave word with, and how someone gets home who leaves early: chosen from a list, so that no phone holds more of it. */
export const TOLD = ['leader', 'co-leader', 'back marker', 'guardian'] as const;
export const HOME = ['own way', 'driven', 'bus or train', 'taxi', 'ambulance'] as const;

/** What is said of one person. `stop` counts the stops of the walk from 1; of someone who left, the last one before, 0 where there was none. */
export type PersonSaid =
  | { kind: 'expected' }
  | { kind: 'not walking' }
  | { kind: 'arrived' }
  | { kind: 'set off' }
  | { kind: 'stop'; stop: number }
  | { kind: 'left'; stop: number; told: (typeof TOLD)[number]; home: (typeof HOME)[number] }
  | { kind: 'finished' };

/** What is said of the whole group, and who the back marker is. */
export type GroupSaid = { kind: 'group'; at: 'gathering' | 'set off' | 'finish' } | { kind: 'group'; at: 'stop'; stop: number };
export type BackSaid = { kind: 'back'; who: string };
/** Who answers for a minor from now on, where their guardian left or never came. */
export type WithSaid = { kind: 'with'; minor: string; guardian: string };
export type Said = PersonSaid | GroupSaid | BackSaid | WithSaid;

export interface Entry {
  /** Its own id, made by the phone. */
  entry: string;
  /** "m12" a party member, "tKEY" someone who turned up, "group", "back", "with". */
  who: string;
  said: Said;
  /** The entries that it answers. */
  after: readonly string[];
}

/** How someone stands: as the entry says that nothing answers, or `disputed` where two phones say what can't both be. */
export interface Standing {
  state: PersonSaid['kind'] | 'disputed';
  /** The last stop they were counted at or left after; 0 before the first. */
  stop: number;
  /** What stands, of each phone: more than one where they differ. */
  said: PersonSaid[];
  /** The entries that stand: what the next one answers. */
  heads: string[];
}

const NOTHING: Standing = { state: 'expected', stop: 0, said: [], heads: [] };

/** How far along: null for what is not a step of the way. */
function step(said: PersonSaid): number | null {
  if (said.kind === 'arrived') return 0;
  if (said.kind === 'set off') return 1;
  if (said.kind === 'stop') return 1 + said.stop;
  return said.kind === 'finished' ? Number.POSITIVE_INFINITY : null;
}

/** The entries that no other answers, by their ids, so that the order is the same everywhere. */
export function standingEntries<One extends Entry>(entries: readonly One[]): One[] {
  const answered = new Set(entries.flatMap((entry) => entry.after));
  return entries.filter((entry) => !answered.has(entry.entry)).sort((a, b) => (a.entry < b.entry ? -1 : 1));
}

/**
 * How one person stands by their entries. Whoever is further along is right; someone who left early left after what came before; anything
 * else that differs is disputed until a leader says which, and counts as not accounted for. Pure.
 */
export function standing(entries: readonly Entry[]): Standing {
  if (entries.length === 0) return NOTHING;
  const heads = standingEntries(entries);
  const said = heads.map((head) => head.said as PersonSaid);
  const ids = heads.map((head) => head.entry);
  const winner = agreed(said);
  if (!winner) return { state: 'disputed', stop: Math.max(0, ...said.map(stopOf)), said, heads: ids };
  return { state: winner.kind, stop: stopOf(winner), said: [winner], heads: ids };
}

function stopOf(said: PersonSaid): number {
  return 'stop' in said ? said.stop : 0;
}

/** What several heads come to; null where they can't all be true. */
function agreed(said: readonly PersonSaid[]): PersonSaid | null {
  const [first] = said;
  if (!first) return null;
  if (said.every((one) => JSON.stringify(one) === JSON.stringify(first))) return first;
  const furthest = said.reduce((a, b) => ((step(b) ?? -1) > (step(a) ?? -1) ? b : a));
  if (said.every((one) => step(one) !== null)) return furthest;
  const left = said.filter((one) => one.kind === 'left');
  const [gone] = left;
  const others = said.filter((one) => one.kind !== 'left');
  const before = (one: PersonSaid) => {
    const far = step(one);
    return far !== null && gone !== undefined && far <= 1 + gone.stop;
  };
  return gone && left.length === 1 && others.every(before) ? gone : null;
}

/** The entries of each person, in one pass. */
export function byPerson<One extends Entry>(entries: readonly One[]): Map<string, One[]> {
  const people = new Map<string, One[]>();
  for (const entry of entries) {
    const of = people.get(entry.who);
    if (of) of.push(entry);
    else people.set(entry.who, [entry]);
  }
  return people;
}

/** Where the group is, by what stands of it: the furthest that any phone said. */
export function groupAt(entries: readonly Entry[]): GroupSaid {
  const said = standingEntries(entries.filter((entry) => entry.who === 'group')).map((entry) => entry.said as GroupSaid);
  const far = (one: GroupSaid) =>
    one.at === 'stop' ? 1 + one.stop : { gathering: 0, 'set off': 1, finish: Number.POSITIVE_INFINITY }[one.at];
  return said.reduce<GroupSaid>((a, b) => (far(b) > far(a) ? b : a), { kind: 'group', at: 'gathering' });
}

/** Who walks last, by what stands: "m12", "tKEY", or "p7" a leader; null until one is named. Where two phones named two, the first by its entry, everywhere the same. */
export function backMarker(entries: readonly Entry[]): string | null {
  const [head] = standingEntries(entries.filter((entry) => entry.who === 'back'));
  return head ? (head.said as BackSaid).who : null;
}

/** Whom a minor was handed over to; null where they were not. */
export function handedTo(minor: string, entries: readonly Entry[]): string | null {
  const [head] = standingEntries(entries.filter((entry) => entry.who === 'with' && (entry.said as WithSaid).minor === minor));
  return head ? (head.said as WithSaid).guardian : null;
}

/** The roll counted. `setOff` = `finished` + `left` + `onTheWay` + those disputed who set off; who is in `unsettled` keeps the walk from being closed. */
export interface Headcount {
  signedUp: number;
  toCome: number;
  arrived: number;
  notWalking: number;
  /** Everyone who set off, also those who finished or left since. */
  setOff: number;
  onTheWay: number;
  finished: number;
  left: number;
  disputed: number;
  /** Who is neither finished, nor left with word, nor known not to walk. */
  unsettled: string[];
}

/** Counts a roll. Pure. @param roster everyone on it, by `who` */
export function headcount(roster: readonly string[], entries: readonly Entry[]): Headcount {
  const people = byPerson(entries);
  const states = [...new Set(roster)].map((who) => ({ who, ...standing(people.get(who) ?? []) }));
  const count = (...kinds: Standing['state'][]) => states.filter((one) => kinds.includes(one.state)).length;
  const disputedSetOff = states.filter((one) => one.state === 'disputed' && one.said.length > 0 && one.said.every(hasSetOff)).length;
  return {
    signedUp: states.length,
    toCome: count('expected'),
    arrived: count('arrived', 'set off', 'stop', 'left', 'finished'),
    notWalking: count('not walking'),
    setOff: count('set off', 'stop', 'left', 'finished') + disputedSetOff,
    onTheWay: count('set off', 'stop'),
    finished: count('finished'),
    left: count('left'),
    disputed: count('disputed'),
    unsettled: states.filter((one) => !['not walking', 'left', 'finished'].includes(one.state)).map((one) => one.who),
  };
}

function hasSetOff(said: PersonSaid): boolean {
  return said.kind === 'set off' || said.kind === 'stop' || said.kind === 'left' || said.kind === 'finished';
}

/** Whether a walk may be closed: everyone who set off has finished or left with word, and nobody else is unaccounted for. Pure. */
export function mayClose({ setOff, finished, left, unsettled }: Headcount): boolean {
  return setOff === finished + left && unsettled.length === 0;
}

/** Who set off and was not counted at a stop: neither there, nor further on, nor gone with word before it. Pure. */
export function missingAt(stop: number, roster: readonly string[], entries: readonly Entry[]): string[] {
  const people = byPerson(entries);
  return roster.filter((who) => {
    const now = standing(people.get(who) ?? []);
    if (now.state === 'disputed') return true;
    return now.state === 'set off' || (now.state === 'stop' && now.stop < stop);
  });
}
