import type { PlanWeek, SeasonPlan, WeekKind } from '../calc/plan.js';
import { planLength } from '../calc/plan-grid.js';
import type { GroupSettings } from '../settings/rules.js';
import { tenth, type Written } from '../strip/pen.js';
import { monthDay } from '../web/when.js';
import { type Axis, axisFor } from './axis.js';
import { planWords, startWords } from './words.js';

/** A walk, as the bar it is drawn as. */
interface Bar {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** The season plan as its template draws it: a row a week, 368 units wide, `height` of them long. */
export interface PlanChart {
  height: number;
  title: string;
  /** The same in words, for whoever does not see it. */
  text: string;
  /** Bars by what they are filled with: each walk has one, and what stands in a row belongs to one week. */
  saturdays: Bar[];
  /** Those of lighter and taper weeks, which are thinner and greyer. */
  shortSaturdays: Bar[];
  sundays: Bar[];
  weekdays: Bar[];
  /** Marks of the weeks' kinds, left of the bars: outlines and filled shapes. */
  openMarks: string;
  solidMarks: string;
  grid: string;
  gridLabels: Written[];
  numbers: Written[];
  dates: Written[];
  totals: Written[];
  /** Stands beside the bars of the event's week. */
  event: Written;
  /** Under the drawing: what its parts mean, and what walkers should manage at the start. */
  caption: string[];
}

const TOP = 30;
const ROW = 20;
const NUMBERS_END = 20;
const DATES_START = 27;
const MARK_MIDDLE = 93;
const BARS = { from: 106, to: 326 } as const;
const TOTALS_END = 368;
const FULL_BAR = 14;
const THIN_BAR = 8;
/** From the middle of a row to the baseline of its words. */
const BASELINE = 5;
/** From the axis's figures down to where its lines begin. */
const FIGURES_ABOVE = 8;

/** Draws a season plan: for each week the Saturday, the Sunday and the weekday walks one after another, to scale. Pure. */
export function planChart(plan: SeasonPlan, settings: Pick<GroupSettings, 'locale'>): PlanChart {
  const { weeks, wish } = plan;
  const axis = axisFor(Math.max(...weeks.map(({ metres }) => metres)), wish.units, BARS);
  const middles = weeks.map((_, index) => TOP + ROW * (index + 0.5));
  const bottom = TOP + ROW * weeks.length;
  const rows = weeks.map((week, index) => barsOf(week, middles[index] as number, axis));
  const marks = weeks.map(({ kind }, index) => MARKS[kind]?.(middles[index] as number) ?? { open: '', solid: '' });
  const isThinner = (index: number) => THIN.has((weeks[index] as PlanWeek).kind);
  const beside = (x: number, words: (week: PlanWeek) => string): Written[] =>
    weeks.map((week, index) => ({ x, y: tenth((middles[index] as number) + BASELINE), words: words(week) }));
  const figure = (week: PlanWeek) => planLength(week.metres, wish.units).split(' ')[0] ?? '';
  const last = weeks[weeks.length - 1] as PlanWeek;
  return {
    height: bottom + 4,
    title: `The season, week by week: walks from ${monthDay(plan.from, settings.locale)} to the event on ${monthDay(wish.eventDay, settings.locale)}`,
    text: planWords(plan),
    saturdays: rows.flatMap(({ saturday }, index) => (isThinner(index) ? [] : saturday)),
    shortSaturdays: rows.flatMap(({ saturday }, index) => (isThinner(index) ? saturday : [])),
    sundays: rows.flatMap(({ sunday }) => sunday),
    weekdays: rows.flatMap(({ weekday }) => weekday),
    openMarks: marks.map(({ open }) => open).join(''),
    solidMarks: marks.map(({ solid }) => solid).join(''),
    grid: axis.ticks.map(({ x }) => `M${x} ${TOP - FIGURES_ABOVE}V${bottom}`).join(''),
    gridLabels: axis.ticks.map(({ x, words }) => ({ x, y: TOP - FIGURES_ABOVE - BASELINE, words })),
    numbers: beside(NUMBERS_END, ({ number }) => String(number)),
    dates: beside(DATES_START, ({ from }) => monthDay(from, settings.locale)),
    totals: beside(TOTALS_END, figure),
    event: {
      x: tenth(axis.x(last.metres) + BASELINE),
      y: tenth((middles[middles.length - 1] as number) + BASELINE),
      words: `event: ${wish.eventDays === 1 ? '' : `${wish.eventDays} × `}${planLength(wish.dayMetres, wish.units)}`,
    },
    caption: captionOf(plan, rows),
  };
}

/** Told by thin bars. */
const THIN: ReadonlySet<WeekKind> = new Set(['lighter', 'taper', 'event']);

type Bars = Record<'saturday' | 'sunday' | 'weekday', Bar[]>;

/** The longest of the week's walks first, so that its growth is read along one edge. */
function barsOf({ kind, walks }: PlanWeek, middle: number, axis: Axis): Bars {
  const height = THIN.has(kind) ? THIN_BAR : FULL_BAR;
  const bars: Bars = { saturday: [], sunday: [], weekday: [] };
  let before = 0;
  for (const slot of ['saturday', 'sunday', 'weekday'] as const) {
    for (const { metres } of walks.filter((walk) => walk.slot === slot)) {
      const x = axis.x(before);
      before += metres;
      bars[slot].push({ x, y: middle - height / 2, width: tenth(axis.x(before) - x), height });
    }
  }
  return bars;
}

interface Mark {
  open: string;
  solid: string;
}

/** Lighter: an open arrowhead down. Longest: a solid one up. Taper: a wedge. Event: a square, as a walk's finish has. */
const MARKS: Partial<Record<WeekKind, (y: number) => Mark>> = {
  lighter: (y) => ({ open: `M${MARK_MIDDLE - 6} ${y - 4}h12l-6 9Z`, solid: '' }),
  peak: (y) => ({ open: '', solid: `M${MARK_MIDDLE - 7} ${y + 5}h14l-7-11Z` }),
  taper: (y) => ({ open: `M${MARK_MIDDLE - 6} ${y - 6}v12l12-6Z`, solid: '' }),
  event: (y) => ({ open: '', solid: `M${MARK_MIDDLE - 6} ${y - 6}h12v12h-12Z` }),
};

function captionOf(plan: SeasonPlan, rows: Bars[]): string[] {
  const has = (slot: keyof Bars) => rows.some((row) => row[slot].length > 0);
  const bars = [
    'solid: the long Saturday',
    ...(has('sunday') ? ['hatched: Sunday'] : []),
    ...(has('weekday') ? ['open: weekday walks'] : []),
  ];
  const unit = plan.wish.units === 'mi' ? 'miles' : 'kilometres';
  return [
    `Each bar is one week's walks; ${bars.join('; ')}. On the right, the week's ${unit}.`,
    'Thin bars: lighter weeks (▽), shorter walks before the event (▷), the event (■). ▲: the longest walk.',
    startWords(plan),
  ];
}
