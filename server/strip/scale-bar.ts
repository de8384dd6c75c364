import { toMetres, type Units } from '../calc/measure.js';
import { tenth, type Written } from './pen.js';

/** A bar no longer than this. */
const MOST = 120;
const ROUND = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const END = 5;

/** The longest bar of a round figure in the group's unit, its left end at `x`, lying at `y`. @param perMetre units of the drawing in a metre */
export function scaleBar(perMetre: number, x: number, y: number, units: Units): { path: string; words: Written } {
  const length = (figure: number) => toMetres(figure * 1000, units) * (perMetre / 1000);
  const figure = ROUND.findLast((round) => length(round) <= MOST) ?? 0.01;
  const end = tenth(x + length(figure));
  const [top, low] = [tenth(y - END), tenth(y)];
  return { path: `M${x} ${top}V${low}H${end}V${top}`, words: { x: tenth(end + 8), y: tenth(y + 1), words: `${figure} ${units}` } };
}
