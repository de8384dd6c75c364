import { type PersonSaid, type Standing, standing } from '../ledger.js';
import type { RollEntry, RollPerson } from './contract.js';

/** Where the group is, as a number that grows: 0 gathering, 1 set off, 1 + n at stop n, infinite at the finish. */
export type Phase = number;

/** Something that a leader can say of someone with one tap. */
export interface Tap {
  label: string;
  said: PersonSaid;
}

/** One person on the roll, ready to be drawn. */
export interface Row {
  who: string;
  name: string;
  /** Beneath the name: under 18 and with whom, what is to be signed. */
  notes: string[];
  /** How they stand, in words; empty while there is nothing to say. */
  mark: string;
  /** Accounted for where the group is now. */
  done: boolean;
  /** Two phones differ: nothing else is offered before one is taken. */
  disputed: boolean;
  /** What is most likely said next. */
  main: Tap | null;
  /** What else may be: "not walking", and putting it right. */
  others: Tap[];
  /** Whether they are on the way and may leave early. */
  mayLeave: boolean;
  /** The last stop they were counted at, 0 before the first. */
  lastStop: number;
}

export interface Ground {
  phase: Phase;
  stops: readonly { n: number; name: string }[];
  clock: (at: number) => string;
}

/** How a person stands and what can be said of them now. Pure. */
export function rowOf(person: RollPerson, entries: readonly RollEntry[], ground: Ground): Row {
  const now = standing(entries);
  const at = Math.max(0, ...entries.filter(({ entry }) => now.heads.includes(entry)).map((entry) => entry.at));
  const disputed = now.state === 'disputed';
  return {
    who: person.who,
    name: person.name,
    notes: notesOf(person),
    mark: disputed ? 'Two phones differ' : markOf(now, at, ground),
    done: isDone(now, ground.phase),
    disputed,
    main: disputed ? null : mainOf(now, ground.phase),
    others: disputed ? now.said.map((said) => ({ label: wordOf(said), said })) : othersOf(now, ground.phase, entries),
    mayLeave: now.state === 'set off' || now.state === 'stop',
    lastStop: now.stop,
  };
}

function notesOf({ who, minor, guardian, waiver, withoutPlace }: RollPerson): string[] {
  return [
    minor ? `under 18, ${guardian ? `with ${guardian}` : 'nobody named who answers for them'}` : '',
    who.startsWith('t') ? 'turned up' : '',
    withoutPlace ? 'has no place' : '',
    waiver ? 'waiver signed' : 'sign the waiver first',
  ].filter((note) => note !== '');
}

/** What is said, as a button or in a list. */
export function wordOf(said: PersonSaid): string {
  switch (said.kind) {
    case 'expected':
      return 'To come';
    case 'not walking':
      return 'Not walking';
    case 'arrived':
      return 'Arrived';
    case 'set off':
      return 'Set off';
    case 'stop':
      return `Here at stop ${said.stop}`;
    case 'left':
      return said.stop > 0 ? `Left early after stop ${said.stop}` : 'Left early';
    case 'finished':
      return 'Finished';
  }
}

function markOf({ state, said: [said] }: Standing, at: number, { stops, clock }: Ground): string {
  if (state === 'expected' || !said) return '';
  if (said.kind === 'stop') return `✓ ${stops.find(({ n }) => n === said.stop)?.name ?? `stop ${said.stop}`}, ${clock(at)}`;
  if (said.kind === 'left') return `${wordOf(said)}, ${clock(at)}. ${said.told} told; ${said.home}`;
  if (said.kind === 'not walking') return wordOf(said);
  return `✓ ${wordOf(said)} ${clock(at)}`;
}

/** How far along someone is, as phases count. */
function reached({ state, stop }: Standing): number {
  if (state === 'set off') return 1;
  if (state === 'stop') return 1 + stop;
  return state === 'finished' ? Number.POSITIVE_INFINITY : state === 'arrived' ? 0 : -1;
}

function isDone(now: Standing, phase: Phase): boolean {
  if (now.state === 'disputed') return false;
  return now.state === 'not walking' || now.state === 'left' || reached(now) >= phase;
}

function mainOf(now: Standing, phase: Phase): Tap | null {
  if (now.state === 'not walking' || now.state === 'left' || reached(now) >= phase) return null;
  if (phase === 0) return { label: 'Arrived', said: { kind: 'arrived' } };
  // Who was not there when the group set off may still catch up: that is a tap of its own, so that nobody is asked for who never came.
  if (now.state === 'expected' || (now.state === 'arrived' && phase === 1)) return { label: 'Set off', said: { kind: 'set off' } };
  return phase === Number.POSITIVE_INFINITY
    ? { label: 'Finished', said: { kind: 'finished' } }
    : { label: 'Here', said: { kind: 'stop', stop: phase - 1 } };
}

function othersOf(now: Standing, phase: Phase, entries: readonly RollEntry[]): Tap[] {
  const taps: Tap[] = [];
  if (now.state === 'expected' || now.state === 'arrived') taps.push({ label: 'Not walking', said: { kind: 'not walking' } });
  const back = backOf(now, phase, entries);
  return back ? [...taps, back] : taps;
}

/** What puts a tap right. */
function backOf(now: Standing, phase: Phase, entries: readonly RollEntry[]): Tap | null {
  switch (now.state) {
    case 'arrived':
      return { label: 'Not arrived', said: { kind: 'expected' } };
    case 'not walking':
      return { label: 'Walking after all', said: phase === 0 ? { kind: 'expected' } : { kind: 'arrived' } };
    case 'set off':
      return { label: 'Not set off', said: { kind: 'arrived' } };
    case 'stop':
      return { label: 'Not here', said: earlier(now, entries) };
    case 'left':
      return { label: 'Still walking', said: now.stop > 0 ? { kind: 'stop', stop: now.stop } : { kind: 'set off' } };
    case 'finished':
      return { label: 'Not finished', said: earlier(now, entries) };
    default:
      return null;
  }
}

/** Where someone was last before where they stand now, by the entries that this one answers. */
function earlier(now: Standing, entries: readonly RollEntry[]): PersonSaid {
  const byId = new Map(entries.map((entry) => [entry.entry, entry]));
  for (let entry = byId.get(now.heads[0] ?? ''); entry; entry = byId.get(entry.after[0] ?? '')) {
    const said = entry.said as PersonSaid;
    if (said.kind === 'stop' && 1 + said.stop < reached(now)) return said;
  }
  return { kind: 'set off' };
}
