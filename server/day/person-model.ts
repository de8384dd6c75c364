import { guardianNow, minorsWith } from './guardians.js';
import { byPerson, groupAt, HOME, type PersonSaid, standing, TOLD } from './ledger.js';
import type { Reach } from './person-store.js';
import type { RollPerson, RollState } from './roll-state.js';
import { clockAt, lastSeen, saidWords, stopName } from './roll-words.js';
import { walkingAdults } from './tap.js';

/** Someone to ring: who, and their number where it is kept outside the emergency contacts. */
interface Ring {
  words: string;
  phone: string | null;
}

/**
 * Whom to ring about someone who is missing, in order: their own phone, who booked, who answers for them, others of the party. The emergency
 * contact comes last, on a page of its own, since opening it is written down. Pure.
 */
export function ringOrder(person: RollPerson, reach: Reach, people: readonly RollPerson[], guardian: RollPerson | null): Ring[] {
  const phone = reach.phone || null;
  const own = reach.booker === null || reach.booker === person.name;
  const first: Ring[] = own
    ? phone === null
      ? []
      : [{ words: 'their own phone', phone }]
    : [{ words: `${reach.booker}, who booked for them`, phone }];
  const named = new Set([reach.booker, person.name]);
  const second = guardian && !named.has(guardian.name) ? [{ words: `${guardian.name}, who answers for them`, phone: null }] : [];
  if (guardian) named.add(guardian.name);
  const party = people
    .filter((one) => reach.party.includes(one.who) && !one.minor && !named.has(one.name))
    .map((one) => ({ words: `${one.name}, of the same party`, phone: null }));
  return [...first, ...second, ...party];
}

/** One person's own page: where they were seen last, whom to ring, and everything that can be said of them. Pure. */
export function personModel(person: RollPerson, roll: RollState, reach: Reach, sayers: ReadonlyMap<string, string | null>) {
  const entries = byPerson(roll.entries).get(person.who) ?? [];
  const now = standing(entries);
  const last = entries.filter((entry) => now.heads.includes(entry.entry)).sort((a, b) => b.at - a.at)[0];
  const guardian = person.minor ? guardianNow(person, roll.people, roll.entries) : null;
  const adults = walkingAdults(roll).filter((one) => one.who !== person.who);
  const minors = minorsWith(person.who, roll.people, roll.entries);
  const isOut = now.state !== 'left' && now.state !== 'not walking' && now.state !== 'finished';
  return {
    person: { who: person.who, name: person.name, minor: person.minor },
    after: now.heads.join(','),
    stands: now.state === 'disputed' ? 'not settled' : now.said[0] && now.state !== 'expected' ? saidWords(now.said[0], roll) : 'to come',
    seen: lastSeen(now, roll),
    seenAt: last ? clockAt(last.at, roll).clock : null,
    guardian: guardian?.name ?? null,
    ring: ringOrder(person, reach, roll.people, guardian),
    states: statesFor(roll, now.said[0]),
    left: isOut ? leftModel(now.stop, roll) : null,
    minors: isOut && minors.length > 0 ? { names: minors.map((one) => one.name).join(' and '), options: options(adults) } : null,
    handOver: person.minor && isOut ? options(adults) : null,
    history: [...entries]
      .sort((a, b) => a.at - b.at)
      .map((entry) => ({
        words: saidWords(entry.said as PersonSaid, roll),
        at: clockAt(entry.at, roll),
        by: sayers.get(entry.entry) ?? null,
      })),
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
