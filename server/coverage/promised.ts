import type { ForecastGap, ForecastLeader } from '../calc/forecast.js';
import type { LeaderMonth } from '../commitment/rules.js';
import type { LeaderMonths } from '../commitment/store.js';
import type { LeadsWhat } from './forecast-store.js';
import type { Gap } from './gaps.js';

/** Walks promised in months that are over, and how many of them were led or count as such: what is led beyond a promise makes up for no other month. Excused months ask for nothing. Pure. */
export function historyOf(months: LeaderMonth[], now: string): { promised: number; kept: number } {
  let [promised, kept] = [0, 0];
  for (const { month, state, pledge, kept: led } of months) {
    if (month >= now || state === 'excused' || pledge === null) continue;
    promised += pledge;
    kept += Math.min(pledge, led);
  }
  return { promised, kept };
}

/** Walks promised and not posted yet by month, this one and later ones. Pure. */
export function leftOf(months: LeaderMonth[], now: string): Record<string, number> {
  return Object.fromEntries(months.filter(({ month, short }) => month >= now && short > 0).map(({ month, short }) => [month, short]));
}

/** Leaders as the forecast takes them. Who was stood down leads no more, and still tells how promises are kept here. Pure. @param now the month it is */
export function forecastLeaders(
  all: LeaderMonths[],
  lead: LeadsWhat[],
  busy: ReadonlyMap<number, Set<string>>,
  now: string,
): ForecastLeader[] {
  const saying = new Map(lead.map((one) => [one.personId, one]));
  return all.map(({ personId, areaId, months }): ForecastLeader => {
    const said = saying.get(personId);
    return {
      id: personId,
      homeAreaId: areaId,
      areaIds: said?.areaIds ?? [],
      days: said?.days ?? [],
      shortestMetres: said?.shortestMetres ?? null,
      longestMetres: said?.longestMetres ?? null,
      busyDates: busy.get(personId) ?? NO_DATES,
      left: said ? leftOf(months, now) : {},
      ...historyOf(months, now),
    };
  });
}

const NO_DATES: ReadonlySet<string> = new Set();

/** A gap as the forecast takes it, with the days that are left. Pure. */
export function forecastGap({ need, today }: Pick<Gap, 'need' | 'today'>): ForecastGap {
  const metres = need.dayKind === 'any' ? null : need.bestMetres;
  return { areaId: need.areaId, month: need.month, dates: need.days.filter((day) => day > today), metres };
}
