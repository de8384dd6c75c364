import { allAreas } from '../areas/store.js';
import { addMonths } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import { lastSigned } from '../joining/agreement-store.js';
import type { Services } from '../services.js';
import { homeZone, monthNow } from '../settings/home.js';
import { type CsvCell, csvOf } from '../web/csv.js';
import type { Typed } from '../web/forms.js';
import { monthName } from '../web/when.js';
import { agreementMark } from './agreement-words.js';
import { type Asked, monthsToCount, ROWS, readAsked, SORTS, shownOf, sorted, type Total, totals, WINDOWS } from './grid.js';
import { type LeaderMonths, leaderMonths } from './store.js';
import { boardWords, commitmentWords } from './words.js';

/** The grid as it is asked for: all leaders, and those of the area in their order. */
export interface Grid {
  asked: Asked;
  /** The month it is. */
  now: string;
  all: LeaderMonths[];
  rows: LeaderMonths[];
}

/** Counts, filters and sorts; six queries, however many leaders and months. */
export function gridOf(services: Services, query: Typed): Grid {
  const now = monthNow(services);
  const asked = readAsked(query, now);
  const all = leaderMonths(services.db.q, monthsToCount(asked.months, now), services.now());
  const inArea = asked.area === null ? all : all.filter((leader) => leader.areaSlug === asked.area);
  return { asked, now, all, rows: sorted(inArea, asked.sort, now) };
}

/** What the grid's template shows. */
export function gridModel(services: Services, { asked, now, rows }: Grid) {
  const settings = services.settings();
  const { locale } = settings;
  const at = { now: services.now(), zone: homeZone(services), settings };
  const { months } = asked;
  const first = months[0] ?? now;
  const pages = Math.max(1, Math.ceil(rows.length / ROWS));
  const page = Math.min(asked.page, pages);
  // On a phone the grid begins with this month; only where nobody asked for others.
  const isOlder = (month: string) => asked.isUsual && month < now;
  const link = (change: Partial<Record<'from' | 'page', string>>) => gridHref(asked, change);
  return {
    months: months.map((one) => ({ ...monthName(one, locale), month: one, current: one === now, older: isOlder(one) })),
    leaders: rows.slice((page - 1) * ROWS, page * ROWS).map((leader) => ({
      personId: leader.personId,
      name: leader.name,
      areaName: leader.areaName,
      phone: leader.phone,
      stoodDown: leader.standing === 'stood_down',
      agreement: leader.standing === 'approved' ? agreementMark(leader.agreementDueAt, at) : null,
      months: shownOf(leader, months).map((one) => ({ ...boardWords(one, now), month: one.month, older: isOlder(one.month) })),
    })),
    totals: totals(rows, months).map((row) => ({
      areaName: row.areaName,
      months: row.months.map((one, index) => ({ ...totalWords(one, months[index] ?? now, now), older: isOlder(months[index] ?? now) })),
    })),
    earlier: link({ from: addMonths(first, -months.length / 2) }),
    later: link({ from: addMonths(first, months.length / 2) }),
    today: asked.isUsual ? null : link({ from: '' }),
    csv: link({}).replace('/leaders', '/leaders.csv'),
    paging:
      pages > 1
        ? {
            page,
            pages,
            before: page > 1 ? link({ page: String(page - 1) }) : null,
            after: page < pages ? link({ page: String(page + 1) }) : null,
          }
        : null,
    count: rows.length,
    sorts: SORTS.map(([value, label]) => ({ value, label, selected: value === asked.sort })),
    windows: WINDOWS.map((value) => ({ value, label: `${value} months`, selected: value === months.length })),
    inAreas: allAreas(services.db.q).map((area) => ({ value: area.slug, label: area.name, selected: area.slug === asked.area })),
    from: asked.isUsual ? null : first,
  };
}

/** Months further ahead than the coming one are not short yet. Pure. */
function totalWords({ walks, pledged, short }: Total, month: string, now: string) {
  const who = short === 1 ? '1 leader' : `${short} leaders`;
  const words = month > addMonths(now, 1) ? `${who} to post` : `${who} short`;
  return { walks, pledged, none: walks + pledged === 0, words: short === 0 ? '' : words };
}

function gridHref(asked: Asked, change: Partial<Record<'from' | 'page', string>>): string {
  const query = new URLSearchParams();
  const from = change.from ?? (asked.isUsual ? '' : asked.months[0]);
  if (asked.area !== null) query.set('area', asked.area);
  if (asked.sort !== 'need') query.set('sort', asked.sort);
  if (asked.months.length !== WINDOWS[0]) query.set('months', String(asked.months.length));
  if (from) query.set('from', from);
  if (change.page !== undefined) query.set('page', change.page);
  return `/coordinate/leaders${query.size > 0 ? `?${query.toString()}` : ''}`;
}

/** The whole grid as CSV, dates in the group's zone: a line a leader, three columns a month. */
export function gridCsv(services: Services, { asked, rows }: Grid): string {
  const [zone, signed] = [homeZone(services), lastSigned(services.db.q)];
  const day = (ms: number | undefined) => (ms === undefined ? '' : wallOf(ms, zone).date);
  const head = asked.months.flatMap((month) => [`${month} walks`, `${month} pledged`, `${month} state`]);
  const lines = rows.map((leader): CsvCell[] => [
    leader.name,
    leader.areaName,
    leader.email,
    { phone: leader.phone },
    leader.since,
    day(signed.get(leader.personId)),
    leader.standing === 'approved' ? day(leader.agreementDueAt) : '',
    ...shownOf(leader, asked.months).flatMap((one): CsvCell[] => [one.kept + one.coming, one.pledge, commitmentWords(one).word]),
  ]);
  return csvOf([['Leader', 'Area', 'E-mail', 'Phone', 'Leads since', 'Agreement signed', 'Agreement due', ...head], ...lines]);
}
