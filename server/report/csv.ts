import type { GroupSettings } from '../settings/rules.js';
import { type CsvCell, csvOf } from '../web/csv.js';
import { columnsOf } from './columns.js';
import type { Report } from './report.js';

/** The report as CSV: a line an area and month, from the month on in which the area was added. Lengths and averages to a hundredth. No totals, so that nothing is added twice. Pure. */
export function reportCsv({ months, areas }: Report, { units }: Pick<GroupSettings, 'units'>): string {
  const columns = Object.values(columnsOf(units));
  const lines = areas.flatMap(({ area, months: own }) =>
    own.flatMap((figures, index): CsvCell[][] => {
      if (figures === null) return [];
      return [[area.name, months[index] ?? '', ...columns.map(({ value }) => hundredths(value(figures)))]];
    }),
  );
  return csvOf([['Area', 'Month', ...columns.map(({ label }) => label)], ...lines]);
}

function hundredths(figure: number | null): number | null {
  return figure === null ? null : Math.round(figure * 100) / 100;
}
