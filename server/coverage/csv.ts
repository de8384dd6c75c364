import { fromMetres } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import { type CsvCell, csvOf } from '../web/csv.js';
import type { Asked } from './asked.js';
import { isShown } from './board-model.js';
import type { AreaCoverage } from './coverage.js';
import { dayFor, daysWalked } from './gaps.js';
import { KIND_WORDS } from './words.js';

/** The needs that the board shows as CSV: a line each, with the walk that meets it. Lengths in the group's unit, to a hundredth. */
export function coverageCsv(coverage: AreaCoverage[], asked: Asked, { units }: Pick<GroupSettings, 'units'>, baseUrl: string): string {
  const length = (metres: number) => Math.round(fromMetres(metres, units) * 100) / 100;
  const head = [
    'Area',
    'Month',
    'Week from',
    'Kind',
    `Plan, ${units}`,
    `Least, ${units}`,
    `Most, ${units}`,
    'State',
    'Day',
    `Length, ${units}`,
    'Walk',
  ];
  const lines = coverage.flatMap((one) =>
    one.covered
      .filter(({ need }) => isShown(need, asked))
      .map(({ need, walk }): CsvCell[] => {
        const lengths = need.dayKind === 'any' ? [null, null, null] : [need.bestMetres, need.leastMetres, need.mostMetres].map(length);
        const day = dayFor(need, one.today, daysWalked(one));
        const met = walk
          ? ['met', walk.date, length(walk.metres), `${baseUrl}/walks/${walk.id}`]
          : [day === null ? 'passed' : 'missing', day, null, null];
        return [one.area.name, need.month, need.week, KIND_WORDS[need.dayKind], ...lengths, ...met];
      }),
  );
  return csvOf([head, ...lines]);
}
