import { addMonths } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

/** Beyond this many months a day and month alone could be taken for the nearer one. */
const FAR_MONTHS = 9;

/** "Sat, Nov 28", with the year where it is another than now's or the day is more than nine months off. @param at ms UTC @param zone IANA @param now ms UTC */
export function shownDate(at: number, zone: string, settings: Pick<GroupSettings, 'locale' | 'clock'>, now: number): string {
  const [date, today] = [wallOf(at, zone).date, wallOf(now, zone).date];
  const isFar = date.slice(0, 4) !== today.slice(0, 4) || date > addMonths(today.slice(0, 7), FAR_MONTHS) + today.slice(7);
  const shown = when(at, zone, settings);
  return isFar ? shown.fullDate : shown.date;
}
