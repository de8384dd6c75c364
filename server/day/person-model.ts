import type { RollPerson, RollState } from './contract.js';
import { guardianNow } from './guardians.js';
import { byPerson, type PersonSaid, standing } from './ledger.js';
import type { Reach } from './person-store.js';
import { clockAt, lastSeen, saidWords } from './roll-words.js';
import { sayable } from './sayable.js';

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
  return {
    person: { who: person.who, name: person.name, minor: person.minor },
    after: now.heads.join(','),
    stands: now.state === 'disputed' ? 'not settled' : now.said[0] && now.state !== 'expected' ? saidWords(now.said[0], roll) : 'to come',
    seen: lastSeen(now, roll),
    seenAt: last ? clockAt(last.at, roll).clock : null,
    guardian: guardian?.name ?? null,
    ring: ringOrder(person, reach, roll.people, guardian),
    ...sayable(person, roll),
    history: [...entries]
      .sort((a, b) => a.at - b.at)
      .map((entry) => ({
        words: saidWords(entry.said as PersonSaid, roll),
        at: clockAt(entry.at, roll),
        by: sayers.get(entry.entry) ?? null,
      })),
  };
}
