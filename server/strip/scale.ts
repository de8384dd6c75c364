import { fromMetres, lengthWords, METRES_PER_MILE, type Units } from '../calc/measure.js';
import { tenth, type Written } from './pen.js';

/** Heights are in the drawing's units: 368 of them are its width. A mile gets 78, fewer where the walk is long, so that every walk can be read and none is endless. */
const PER_MILE = 78;
const LONG = { start: 560, perMile: 16, most: 1100 } as const;
const LEAST = 240;
/** Room beyond what the rows need, so that few of them leave their places. */
const LOOSE = 1.1;

/** Labelled ticks are at least so far apart. */
const APART = 34;
const STEPS = [1, 2, 5, 10, 20, 50, 100];
/** A line drawn long for its many stops has no more of them than this. */
const MOST_LABELS = 50;
/** Half miles are labelled only where the drawing has so much room for one. */
const HALF_FROM = 100;
/** Ticks closer than this would be a grey bar. */
const TICKS_APART = 6;
const LABEL_HEIGHT = 22;
const TICK = { from: 104, length: 9.5 } as const;
/** From the middle of a line of figures down to its baseline. */
export const BASELINE = 5;

/** How long the line is drawn. @param rows how much height its rows need */
export function lineLength(metres: number, rows: number): number {
  const miles = metres / METRES_PER_MILE;
  const byDistance = Math.min(PER_MILE * miles, LONG.start + LONG.perMile * miles, LONG.most);
  return Math.ceil(Math.max(LEAST, byDistance, rows * LOOSE));
}

export interface Scale {
  /** Paths of the ticks: each unit, and the heavier ones that are labelled in bold. */
  ticks: string;
  heavyTicks: string;
  labels: Written[];
  heavyLabels: Written[];
}

/** Mile or kilometre ticks along a line from `top`, labelled as closely as can be read; the start and the finish always are. */
export function scaleAlong(metres: number, length: number, top: number, units: Units): Scale {
  const whole = fromMetres(metres, units);
  const perUnit = length / whole;
  const step = perUnit >= HALF_FROM ? 0.5 : (STEPS.find((size) => size * perUnit >= APART && whole / size <= MOST_LABELS) ?? 100);
  const heavyStep = Math.max(5, step * 5);
  const tickStep = perUnit >= TICKS_APART ? Math.min(1, step) : step;
  const scale: Scale = { ticks: '', heavyTicks: '', labels: [], heavyLabels: [] };
  for (let index = 0; index * tickStep < whole; index += 1) {
    const at = index * tickStep;
    const y = tenth(top + at * perUnit);
    const path = `M${TICK.from} ${y}h${TICK.length}`;
    const heavy = at % heavyStep === 0;
    if (index > 0 && heavy) scale.heavyTicks += path;
    else if (index > 0) scale.ticks += path;
    if (at % step !== 0 || (whole - at) * perUnit < LABEL_HEIGHT) continue;
    (heavy ? scale.heavyLabels : scale.labels).push({ x: 0, y: tenth(y + BASELINE), words: `${at} ${units}` });
  }
  scale.heavyLabels.push({ x: 0, y: tenth(top + length + BASELINE), words: lengthWords(metres, units) });
  return scale;
}
