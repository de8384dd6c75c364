import { lengthFigure, lengthWords } from '../calc/measure.js';
import { axisFor } from '../plan/axis.js';
import type { GroupSettings } from '../settings/rules.js';
import { tenth, type Written } from '../strip/pen.js';
import { monthName } from '../web/when.js';
import type { LogMonth } from './rules.js';

/** A walker's months as the template draws them: a row a month, 368 units wide. */
export interface LogChart {
  height: number;
  title: string;
  /** The same in words, for whoever does not see it. */
  text: string;
  bars: { x: number; y: number; width: number; height: number }[];
  /** Where the longest walk of a month ends, on its bar. */
  longest: string;
  grid: string;
  gridLabels: Written[];
  months: Written[];
  totals: Written[];
}

const TOP = 30;
const ROW = 24;
const MONTHS_START = 0;
const BARS = { from: 76, to: 320 } as const;
const TOTALS_END = 368;
const BAR = 14;
/** From the middle of a row to the baseline of its words. */
const BASELINE = 5;
const FIGURES_ABOVE = 8;

/** Draws the miles of each month to scale, with the month's longest walk marked on its bar; null where nothing was walked. Pure. */
export function logChart(months: readonly LogMonth[], { units, locale }: Pick<GroupSettings, 'units' | 'locale'>): LogChart | null {
  const most = Math.max(0, ...months.map(({ metres }) => metres));
  if (most === 0) return null;
  const axis = axisFor(most, units, BARS);
  const middles = months.map((_, index) => TOP + ROW * (index + 0.5));
  const bottom = TOP + ROW * months.length;
  const beside = (x: number, words: (month: LogMonth) => string): Written[] =>
    months.map((month, index) => ({ x, y: tenth((middles[index] ?? 0) + BASELINE), words: words(month) }));
  const name = ({ month }: LogMonth) => Object.values(monthName(month, locale)).join(' ');
  const walked = months.map((one, index) => ({ ...one, middle: middles[index] ?? 0 })).filter(({ metres }) => metres > 0);
  return {
    height: bottom + 4,
    title: 'How far you walked, month by month',
    text: months.map((one) => `${name(one)}: ${lengthWords(one.metres, units)}`).join('; '),
    bars: walked.map(({ metres, middle }) => ({
      x: BARS.from,
      y: middle - BAR / 2,
      width: tenth(axis.x(metres) - BARS.from),
      height: BAR,
    })),
    longest: walked.map(({ longest, middle }) => `M${axis.x(longest)} ${middle - BAR / 2 - 3}v${BAR + 6}`).join(''),
    grid: axis.ticks.map(({ x }) => `M${x} ${TOP - FIGURES_ABOVE}V${bottom}`).join(''),
    gridLabels: axis.ticks.map(({ x, words }) => ({ x, y: TOP - FIGURES_ABOVE - BASELINE, words })),
    months: beside(MONTHS_START, name),
    totals: beside(TOTALS_END, ({ metres }) => lengthFigure(metres, units)),
  };
}
