import type { Forecast, ForecastLeader, Outlook } from '../calc/forecast.js';
import type { GroupSettings } from '../settings/rules.js';
import { monthName } from '../web/when.js';
import { WINDOWS } from './asked.js';
import type { AreaCoverage } from './coverage.js';

/** What the forecast's page is made from. */
export interface Foreseen {
  coverage: AreaCoverage[];
  /** From this one on. */
  months: string[];
  leaders: ForecastLeader[];
  forecast: Forecast;
}

/** Needs of a place and time, and how many of them have a walk. */
interface Now {
  met: number;
  needed: number;
}

const NOTHING: Outlook = { all: 0, low: 0, high: 0 };

/** The board as it is, as it would be if all promises were kept, and as it is likely to be. Pure. */
export function forecastModel({ coverage, months, leaders, forecast }: Foreseen, { locale }: Pick<GroupSettings, 'locale'>) {
  const cells = forecast.by(({ areaId, month }) => `${areaId} ${month}`);
  const inMonth = forecast.by(({ month }) => month);
  const inAll = forecast.by(() => '').get('') ?? NOTHING;
  const now = nowOf(coverage);
  const total = now.get('') ?? { met: 0, needed: 0 };
  const cell = (name: string, outlooks: ReadonlyMap<string, Outlook>) =>
    cellOf(now.get(name) ?? { met: 0, needed: 0 }, outlooks.get(name) ?? NOTHING);
  return {
    months: months.map((month) => monthName(month, locale)),
    areas: coverage.map(({ area }) => ({ name: area.name, months: months.map((month) => cell(`${area.id} ${month}`, cells)) })),
    total: months.map((month) => cell(month, inMonth)),
    figures: [
      { label: 'Posted now', value: ofWords(total.met, total.needed, locale) },
      { label: 'If all keep their promise', value: ofWords(total.met + inAll.all, total.needed, locale) },
      { label: 'Likely', value: ofWords(rangeWords(total.met, inAll), total.needed, locale) },
    ],
    kept: keptWords(leaders, locale),
    left: leftWords(leaders, inAll.all, locale),
    hasNeeds: total.needed > 0,
    filter: WINDOWS.toSorted((a, b) => a - b).map((value) => ({ value, label: `${value} months`, selected: value === months.length })),
  };
}

/** What is met now: of each area and month, of each month, and in all. */
function nowOf(coverage: AreaCoverage[]): Map<string, Now> {
  const counted = new Map<string, Now>();
  for (const { area, covered } of coverage)
    for (const { need, walk } of covered)
      for (const name of [`${area.id} ${need.month}`, need.month, '']) {
        const one = counted.get(name) ?? { met: 0, needed: 0 };
        counted.set(name, one);
        one.needed += 1;
        if (walk) one.met += 1;
      }
  return counted;
}

function cellOf({ met, needed }: Now, outlook: Outlook) {
  return {
    met,
    needed,
    nothing: needed === 0,
    full: needed > 0 && met === needed,
    // Empty still if things go as they usually do.
    bare: needed > 0 && met + outlook.high === 0,
    more: outlook.all > 0,
    likely: rangeWords(met, outlook),
    all: met + outlook.all,
    isSure: outlook.low === outlook.all,
  };
}

/** "6–8", or "7" where both are the same. */
function rangeWords(met: number, { low, high }: Outlook): string {
  return low === high ? String(met + low) : `${met + low}–${met + high}`;
}

function ofWords(some: number | string, needed: number, locale: string): string {
  return `${typeof some === 'number' ? some.toLocaleString(locale) : some} of ${needed.toLocaleString(locale)}`;
}

/** "82 % of the 240 walks promised in the last twelve months were led." */
function keptWords(leaders: ForecastLeader[], locale: string): string {
  const promised = leaders.reduce((sum, one) => sum + one.promised, 0);
  const kept = leaders.reduce((sum, one) => sum + one.kept, 0);
  if (promised === 0) return 'No promise has run its month yet, so how many are kept here is not known, and the likely range is wide.';
  const share = Math.round((100 * kept) / promised);
  return `In the last twelve months, ${share} % of ${promised.toLocaleString(locale)} promised walks were led.`;
}

function leftWords(leaders: ForecastLeader[], placed: number, locale: string): string {
  const left = leaders.reduce((sum, one) => sum + Object.values(one.left).reduce((all, walks) => all + walks, 0), 0);
  if (left === 0) return 'Nothing that leaders promised in these months is left to be posted.';
  const waiting = left === 1 ? 'One promised walk is' : `${left.toLocaleString(locale)} promised walks are`;
  const fitting = placed === left ? '' : `; ${placed.toLocaleString(locale)} can go where one is missing`;
  return `${waiting} not posted yet${fitting}.`;
}
