import { type When, when } from '../web/when.js';
import type { RollPerson, RollState } from './contract.js';
import type { PersonSaid, Standing } from './ledger.js';

const MINUTE_MS = 60_000;

/** "Weir bridge", or "stop 1" where it has no name. Pure. */
export function stopName(stop: number, { stops }: Pick<RollState, 'stops'>): string {
  return stops.find((one) => one.n === stop)?.name || `stop ${stop}`;
}

/** What was said of someone, in words: "left early after Weir bridge, told the leader, home: driven". Pure. */
export function saidWords(said: PersonSaid, roll: Pick<RollState, 'stops'>): string {
  if (said.kind === 'expected') return 'to come';
  if (said.kind === 'stop') return `at ${stopName(said.stop, roll)}`;
  if (said.kind === 'left') {
    const where = said.stop === 0 ? 'before the first stop' : `after ${stopName(said.stop, roll)}`;
    return `left early ${where}, told the ${said.told}, home: ${said.home}`;
  }
  return said.kind;
}

/** Where someone was seen last, in words; null where nobody saw them. Pure. */
export function lastSeen({ state, said }: Standing, roll: Pick<RollState, 'stops'>): string | null {
  const [one] = said;
  if (!one || state === 'expected' || state === 'not walking') return null;
  if (state === 'disputed') return said.map((each) => saidWords(each, roll)).join('; or ');
  if (one.kind === 'arrived') return 'at the meeting point';
  return one.kind === 'set off' ? 'when the group set off' : saidWords(one, roll);
}

/** What stands below someone's name. Pure. @param guardian who answers for them now; null for an adult, or where nobody is known */
export function underName(
  person: RollPerson,
  guardian: string | null,
  isBack: boolean,
  hasSetOff: boolean,
): { words: string; alert: boolean }[] {
  const lines = [];
  if (person.minor)
    lines.push({ words: guardian === null ? 'under 18, with nobody' : `under 18, with ${guardian}`, alert: guardian === null });
  if (isBack) lines.push({ words: 'back marker today', alert: false });
  if (person.withoutPlace) lines.push({ words: 'not signed up any more', alert: true });
  // On the way it is too late to sign: the name of who did not is enough.
  if (!person.waiver) lines.push({ words: hasSetOff ? 'no waiver' : 'sign the waiver first', alert: true });
  else if (!hasSetOff) lines.push({ words: 'waiver signed', alert: false });
  return lines;
}

/** "1 h 05 min", "12 min". Pure. */
export function spanWords(ms: number): string {
  const minutes = Math.floor(ms / MINUTE_MS);
  const hours = Math.floor(minutes / 60);
  return hours === 0 ? `${minutes} min` : `${hours} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** A time on the roll's page. */
export function clockAt(at: number, roll: Pick<RollState, 'zone' | 'locale' | 'clock'>): When {
  return when(at, roll.zone, roll);
}
