import type { RollPerson, RollState } from './contract.js';
import { minorsWith } from './guardians.js';
import { byPerson, groupAt, HOME, type PersonSaid, standing, TOLD } from './ledger.js';
import { stopName } from './roll-words.js';
import { walkingAdults } from './tap.js';

/** Everything that can be said of someone but the likeliest: another state, leaving early, whom a minor is handed over to. Pure. */
export function sayable(person: RollPerson, roll: RollState) {
  const now = standing(byPerson(roll.entries).get(person.who) ?? []);
  const adults = walkingAdults(roll).filter((one) => one.who !== person.who);
  const minors = minorsWith(person.who, roll.people, roll.entries);
  const isOut = now.state !== 'left' && now.state !== 'not walking' && now.state !== 'finished';
  return {
    states: statesFor(roll, now.said[0]),
    left: isOut ? leftModel(now.stop, roll) : null,
    minors: isOut && minors.length > 0 ? { names: minors.map((one) => one.name).join(' and '), options: options(adults) } : null,
    handOver: person.minor && isOut ? options(adults) : null,
  };
}

function options(people: readonly RollPerson[]) {
  return people.map((one) => ({ value: one.who, label: one.name }));
}

/** What else can be said of someone: each state but the one that stands, and no stop that the group has not come to. */
function statesFor(roll: RollState, stands: PersonSaid | undefined) {
  const at = groupAt(roll.entries);
  const reached = at.at === 'stop' ? at.stop : at.at === 'finish' ? roll.stops.length : 0;
  const stops = roll.stops.filter((stop) => stop.n <= reached);
  const all: { kind: PersonSaid['kind']; stop: number | null; label: string }[] = [
    { kind: 'expected', stop: null, label: 'To come' },
    { kind: 'not walking', stop: null, label: 'Not walking' },
    { kind: 'arrived', stop: null, label: 'Arrived' },
    ...(at.at === 'gathering' ? [] : [{ kind: 'set off' as const, stop: null, label: 'Set off' }]),
    ...stops.map((stop) => ({ kind: 'stop' as const, stop: stop.n, label: `At ${stopName(stop.n, roll)}` })),
    ...(at.at === 'gathering' ? [] : [{ kind: 'finished' as const, stop: null, label: 'Finished' }]),
  ];
  const stop = stands && 'stop' in stands ? stands.stop : null;
  return all.filter((one) => one.kind !== (stands?.kind ?? 'expected') || one.stop !== stop);
}

function leftModel(seenAt: number, roll: RollState) {
  const first = { value: '0', label: roll.stops.length > 0 ? 'before the first stop' : 'on the way' };
  const where = [first, ...roll.stops.map((stop) => ({ value: String(stop.n), label: `at or after ${stopName(stop.n, roll)}` }))];
  return {
    where: where.map((one) => ({ ...one, selected: one.value === String(seenAt) })),
    told: TOLD.map((one) => ({ value: one, label: `the ${one}` })),
    home: HOME.map((one) => ({ value: one, label: one })),
  };
}
