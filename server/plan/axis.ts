import { fromMetres, type Units } from '../calc/measure.js';
import { tenth } from '../strip/pen.js';

/** How many lines an axis has at most, beside the one at nothing. */
const MOST_LINES = 5;
const STEPS = [1, 2, 5, 10, 20, 50, 100];

/** A level axis in the drawing's units. */
export interface Axis {
  /** Where so many metres end. */
  x: (metres: number) => number;
  /** Where its lines are, with their figures; the last says the unit. */
  ticks: { x: number; words: string }[];
}

/** The axis on which so many metres still have room between two places, with lines at round figures of the group's unit. */
export function axisFor(mostMetres: number, units: Units, { from, to }: { from: number; to: number }): Axis {
  const most = Math.max(fromMetres(mostMetres, units), 1);
  const step = STEPS.find((size) => most / size <= MOST_LINES) ?? Math.ceil(most / MOST_LINES);
  const along = (length: number) => tenth(from + ((to - from) * length) / most);
  const count = Math.floor(most / step + 1e-9);
  const ticks = Array.from({ length: count + 1 }, (_, index) => {
    const figure = String(index * step);
    return { x: along(index * step), words: index === count ? `${figure} ${units}` : figure };
  });
  return { x: (metres) => along(fromMetres(metres, units)), ticks };
}
