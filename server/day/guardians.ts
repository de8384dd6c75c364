import { byPerson, type Entry, handedTo, type Standing, standing } from './ledger.js';

/*
 * Minors and who answers for them, on the roll. Runs in the service and on the phone alike.
 */

/** What is asked of someone on the roll. */
export interface OfRoll {
  who: string;
  name: string;
  minor: boolean;
  /** Of a minor: who answers for them as signed up, by `who`. */
  guardianWho: string | null;
}

/** A minor who is out without the adult who answers for them. */
export interface GuardianWarning {
  who: string;
  sentence: string;
}

const OUT: readonly Standing['state'][] = ['arrived', 'set off', 'stop'];
const ON_THE_WAY: readonly Standing['state'][] = ['set off', 'stop'];

/** Who answers for a minor now: whom they were handed over to, or else their guardian; null where nobody is known. Pure. */
export function guardianNow<One extends OfRoll>(minor: One, people: readonly One[], entries: readonly Entry[]): One | null {
  const who = handedTo(minor.who, entries) ?? minor.guardianWho;
  return people.find((one) => one.who === who) ?? null;
}

/** Whoever is under 18 and out while the adult who answers for them is not, each in a sentence that says what to do. Pure. */
export function guardianWarnings(people: readonly OfRoll[], entries: readonly Entry[]): GuardianWarning[] {
  const said = byPerson(entries);
  const stateOf = (one: OfRoll) => standing(said.get(one.who) ?? []).state;
  return people
    .filter((one) => one.minor && OUT.includes(stateOf(one)))
    .flatMap((minor) => {
      const guardian = guardianNow(minor, people, entries);
      const sentence = warning(minor, stateOf(minor), guardian, guardian && stateOf(guardian));
      return sentence === null ? [] : [{ who: minor.who, sentence }];
    });
}

const NAME_ANOTHER = 'name another adult on this walk who answers for them';

function warning(minor: OfRoll, state: Standing['state'], guardian: OfRoll | null, at: Standing['state'] | null): string | null {
  const { name } = minor;
  if (!guardian || at === null) return `${name} is under 18 and nobody on this walk answers for them: ${NAME_ANOTHER}.`;
  if (guardian.minor) return `${name} is under 18, and so is ${guardian.name}: ${NAME_ANOTHER}.`;
  if (at === 'expected')
    return `${name} is under 18 and here; ${guardian.name}, who answers for them, has not arrived. Wait, or ${NAME_ANOTHER}.`;
  if (at === 'not walking')
    return `${name} is under 18; ${guardian.name}, who answers for them, is not walking. They don't set off, or ${NAME_ANOTHER}.`;
  if (at === 'left') return `${guardian.name} left early, and ${name}, under 18, is still on the walk. They go too, or ${NAME_ANOTHER}.`;
  if (at === 'disputed') return `${name} is under 18, and where ${guardian.name} is, who answers for them, is not settled.`;
  if (at === 'arrived' && ON_THE_WAY.includes(state))
    return `${name}, under 18, set off; ${guardian.name}, who answers for them, did not. Wait, or ${NAME_ANOTHER}.`;
  return null;
}

/** The minors still out for whom someone answers: whoever leaves early takes them along or hands them over. Pure. */
export function minorsWith<One extends OfRoll>(guardian: string, people: readonly One[], entries: readonly Entry[]): One[] {
  const said = byPerson(entries);
  return people.filter(
    (one) =>
      one.minor &&
      guardianNow(one, people, entries)?.who === guardian &&
      [...OUT, 'disputed'].includes(standing(said.get(one.who) ?? []).state),
  );
}
