import { addMonths, monthsFrom } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import type { Tx } from '../db/open.js';
import { line, summary, type Typed } from '../web/forms.js';
import { dateWords, monthWords } from '../web/when.js';
import type { Refused } from './change-forms.js';
import { excusesOf } from './change-store.js';
import { type Changer, MONTHS_AHEAD } from './changes.js';
import { standingPledge } from './rules.js';
import { savedWords } from './saved-words.js';
import { recordsOf } from './store.js';
import { walkCount } from './words.js';

const OFFERED_AHEAD = 12;
const OFFERED_BACK = 12;
const LABELS: Record<string, string> = { walks: 'Walks a month', from: 'From', month: 'Month', reason: 'Why' };

/** What the forms that change a commitment show, with what stands. @param around the month it is for the leader, and where the forms are */
export function changeModel(
  q: Tx,
  personId: number,
  around: { by: Changer; month: string; at: string; locale: string; zone: string; query: Typed },
  { typed, faults }: Refused,
) {
  const { by, month, locale } = around;
  const { terms, pledges, excused } = recordsOf(q, personId).get(personId) ?? { terms: [], pledges: [], excused: new Set<string>() };
  const options = (months: string[], selected: string) =>
    months.map((one) => ({ value: one, label: monthWords(one, locale), selected: one === selected }));
  const next = addMonths(month, 1);
  const coming = monthsFrom(month, OFFERED_AHEAD + 1);
  const since = terms[0]?.fromMonth ?? month;
  const back = by === 'leader' ? [] : monthsFrom(addMonths(month, -OFFERED_BACK), OFFERED_BACK).filter((one) => one >= since);
  const free = [...back, ...coming].filter((one) => !excused.has(one));
  return {
    saved: savedWords({ form: line(around.query, 'saved'), month: line(around.query, 'of') }, { pledges, excused }, locale),
    at: around.at,
    isOwn: by === 'leader',
    form: {
      walks: 'walks' in typed ? line(typed, 'walks') : String(standingPledge(next, pledges)),
      reason: line(typed, 'reason'),
    },
    fromMonths: options(coming, line(typed, 'from') || next),
    excuseMonths: options(free, line(typed, 'month') || free.find((one) => one >= next) || ''),
    pledges: pledges.map((one) => ({ walks: walkCount(one.walks), from: monthWords(one.fromMonth, locale) })).reverse(),
    terms: terms.map((one) => ({
      from: monthWords(one.fromMonth, locale),
      until: one.untilMonth === null ? null : monthWords(one.untilMonth, locale),
    })),
    excuses: excusesOf(q, personId)
      .filter((one) => one.month <= addMonths(month, MONTHS_AHEAD))
      .map((one) => ({
        month: one.month,
        name: monthWords(one.month, locale),
        reason: one.reason,
        by: one.by,
        on: one.at === null ? null : dateWords(wallOf(one.at, around.zone).date, locale),
        mayTakeBack: by === 'coordinator' || one.month >= month,
      })),
    faults,
    errors: summary(faults, (field) => LABELS[field] ?? ''),
  };
}
