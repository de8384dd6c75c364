import type { GroupSettings } from '../settings/rules.js';
import { monthName, monthWords } from '../web/when.js';
import { type Asked, COUNTS, reportHref, seasonMonths } from './asked.js';
import { type Column, columnsOf, written } from './columns.js';
import { type Figures, isNothing } from './figures.js';
import type { Report } from './report.js';

interface At {
  /** The month it is. */
  now: string;
  settings: GroupSettings;
}

/** The report as its page shows it. Pure. */
export function reportModel(report: Report, asked: Asked, { now, settings }: At) {
  const { locale, units } = settings;
  const columns = columnsOf(units);
  const all = Object.values(columns);
  // An area that came later than the months begin, and than the others.
  const early =
    [
      report.months[0] ?? now,
      ...report.areas
        .map(({ area }) => area.addedMonth)
        .sort()
        .slice(0, 1),
    ]
      .sort()
      .at(-1) ?? now;
  const rowOf = (name: string, figures: Figures, note = '') => ({ name, note, cells: all.map((column) => cell(column, figures, locale)) });
  return {
    isEmpty: isNothing(report.total),
    figures: inAll(report.total, columns, locale),
    heads: all.map(({ label }) => label),
    byArea: report.areas.map(({ area, total }) =>
      rowOf(area.name, total, area.addedMonth > early ? `since ${monthWords(area.addedMonth, locale)}` : ''),
    ),
    byMonth: report.months.map((month, index) => rowOf(monthWords(month, locale), report.byMonth[index] as Figures)),
    total: rowOf('In all', report.total),
    tables: [columns.led, columns.people, columns.metres].map((column) => matrix(column, report, { now, settings })),
    isWide: report.months.length > WIDE_MONTHS,
    meanings: all.map(({ label, meaning }) => ({ label, meaning })),
    ...choices(asked, { now, settings }),
    csv: asked.kind === 'season' ? '/coordinate/report.csv' : reportHref(asked.months).replace('/report', '/report.csv'),
  };
}

/** With more months than these, a table is set smaller on paper. */
const WIDE_MONTHS = 13;

type Columns = ReturnType<typeof columnsOf>;

/** The figures that a report begins with. */
function inAll(total: Figures, columns: Columns, locale: string) {
  const say = (column: Column) => written(column, total, locale);
  const cancelled = total.safety + total.other;
  return [
    {
      label: columns.led.label,
      value: say(columns.led),
      note: cancelled === 0 ? 'none cancelled' : `${cancelled.toLocaleString(locale)} cancelled`,
    },
    { label: columns.people.label, value: say(columns.people), note: `${say(columns.minors)} under 18` },
    { label: columns.metres.label, value: say(columns.metres) },
    { label: columns.personMetres.label, value: say(columns.personMetres) },
    { label: columns.firstTimers.label, value: say(columns.firstTimers) },
    { label: columns.leaders.label, value: say(columns.leaders) },
  ];
}

function cell(column: Column, figures: Figures, locale: string) {
  return { text: written(column, figures, locale), zero: (column.value(figures) ?? 0) === 0 };
}

/** Areas by months of one figure, with what both come to. */
function matrix(column: Column, { months, areas, byMonth, total }: Report, { now, settings: { locale } }: At) {
  const cellOf = (figures: Figures | null, month: string) => {
    if (figures === null) return { text: '–', zero: true };
    const one = cell(column, figures, locale);
    // What is still to come is no nought.
    return one.zero && month > now ? { ...one, text: '' } : one;
  };
  const row = (own: (Figures | null)[]) => months.map((month, index) => cellOf(own[index] ?? null, month));
  return {
    label: column.label,
    months: months.map((month) => ({ ...monthName(month, locale), current: month === now })),
    areas: areas.map((one) => ({ name: one.area.name, months: row(one.months), total: cell(column, one.total, locale) })),
    foot: row(byMonth),
    total: cell(column, total, locale),
  };
}

function choices({ months, kind, faults }: Asked, { now, settings }: At) {
  const season = seasonMonths(settings);
  const [first = now, last = now] = [months[0], months.at(-1)];
  const counts = [...new Set([...COUNTS, months.length])].sort((a, b) => a - b);
  const words = (month: string) => monthWords(month, settings.locale);
  return {
    span: first === last ? words(first) : `${words(first)} to ${words(last)}`,
    event: kind === 'season' ? settings.eventName : '',
    // Before it begins, the season is there to be looked ahead to.
    comingSeason: kind === 'last months' && season ? { from: words(season[0] ?? now), href: reportHref(season) } : null,
    usual: kind === 'chosen' ? '/coordinate/report' : null,
    faults,
    filter: {
      from: kind === 'chosen' ? first : '',
      counts: counts.map((count) => ({
        value: count,
        label: count === 1 ? '1 month' : `${count} months`,
        selected: count === months.length,
      })),
    },
  };
}
