import { addMonths } from '../calc/month.js';
import { resolveWall, wallOf } from '../calc/zone.js';
import type { Wanted } from '../coverage/needs.js';

const AT = '09:00';

/** What an area needed, as mails said it that were owed before there was a season plan: some may still wait. */
interface OlderNeed {
  /** YYYY-MM */
  month: string;
  met: number;
  needed: number;
  href: string;
}

/** What a leader's monthly mail says: frozen as it is owed. */
export interface MonthlyContent {
  personId: number;
  /** The coming month, YYYY-MM. */
  month: string;
  pledge: number;
  areaName: string;
  /** What the area still needs, as the leader's page shows it. */
  needs: (Pick<Wanted, 'words' | 'href'> | OlderNeed)[];
  /** The new-walk form, filled for the coming month. */
  href: string;
  /** When that month begins in the area, ms: the mail is of no use then. */
  until: number;
}

/** The mails of a month: for which month, since when they are due and until when they are of use, ms. */
export interface MailMoment {
  month: string;
  at: number;
  until: number;
}

/** Since 9:00 of the day, in an area's zone, the mails for the month to come are due; null before, and where the day is 0. Pure. @param day 1 to 28 */
export function mailMoment(now: number, zone: string, day: number): MailMoment | null {
  if (day === 0) return null;
  const today = wallOf(now, zone).date.slice(0, 7);
  const at = instantOf(`${today}-${String(day).padStart(2, '0')}`, AT, zone);
  const month = addMonths(today, 1);
  return now < at ? null : { month, at, until: instantOf(`${month}-01`, '00:00', zone) };
}

/** The first instant of a wall time; where clocks go forward over it, the instant they do. */
export function instantOf(date: string, time: string, zone: string): number {
  const found = resolveWall(date, time, zone, null);
  if ('at' in found) return found.at;
  return 'missing' in found ? found.before : Math.min(...found.ask.map((one) => one.at));
}
