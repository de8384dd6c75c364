import { addMonths } from '../calc/month.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { type Pledge, standingPledge } from './rules.js';

/** Pledges, and months excused, are made this far ahead at most. */
export const MONTHS_AHEAD = 24;
export const MOST_WALKS = 31;
const LONGEST_REASON = 200;

/** Who changes a commitment: the leader their own, or a coordinator. */
export type Changer = 'leader' | 'coordinator';

export function isMonth(text: string): boolean {
  return /^\d{4}-(0[1-9]|1[0-2])$/.test(text);
}

/**
 * Reads a new pledge: so many walks from a month on. Nobody changes a month that is over; a leader may raise theirs from this month on,
 * and lower it from the next. Pure.
 * @param now the month it is in the leader's area
 */
export function readPledge(typed: Typed, around: { by: Changer; now: string; pledges: Pledge[] }): { pledge: Pledge } | { faults: Faults } {
  const { by, now, pledges } = around;
  const faults: Faults = {};
  const typedWalks = line(typed, 'walks');
  const walks = /^\d{1,3}$/.test(typedWalks) ? Number(typedWalks) : Number.NaN;
  if (!(walks >= 1 && walks <= MOST_WALKS)) faults.walks = `Type how many walks a month: 1 to ${MOST_WALKS}.`;
  const fromMonth = line(typed, 'from');
  const fault = monthFault(fromMonth, now);
  if (fault) faults.from = fault;
  else if (by === 'leader' && fromMonth === now && walks < standingPledge(now, pledges))
    faults.from = 'You can promise fewer walks from next month on. Choose a later month, or ask to be excused this month.';
  return Object.keys(faults).length > 0 ? { faults } : { pledge: { fromMonth, walks } };
}

/**
 * Reads a month to be excused, and why. A leader excuses this month and those to come; a coordinator any since the leader began. Pure.
 * @param since the first month that was asked of the leader
 */
export function readExcuse(
  typed: Typed,
  around: { by: Changer; now: string; since: string },
): { excuse: { month: string; reason: string } } | { faults: Faults } {
  const { by, now, since } = around;
  const faults: Faults = {};
  const month = line(typed, 'month');
  const first = by === 'leader' || since > now ? now : since;
  const fault = monthFault(month, now, first);
  if (fault) faults.month = fault;
  const reason = line(typed, 'reason');
  if (reason === '') faults.reason = 'Say why in a few words: "Away", "Ill". Only you and the coordinators read it.';
  else if (reason.length > LONGEST_REASON) faults.reason = `Keep it under ${LONGEST_REASON} characters.`;
  return Object.keys(faults).length > 0 ? { faults } : { excuse: { month, reason } };
}

function monthFault(month: string, now: string, first = now): string | null {
  if (!isMonth(month)) return 'Choose a month.';
  if (month < first)
    return first === now ? 'That month is over. Choose this month or a later one.' : 'They did not lead yet in that month.';
  return month > addMonths(now, MONTHS_AHEAD) ? 'Choose a month within two years.' : null;
}
