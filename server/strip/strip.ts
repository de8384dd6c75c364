import { climbShape } from './climb-shape.js';
import { layWalk, type StripAround, type StripWalk } from './laid.js';
import { type Placed, tenth, type Written } from './pen.js';
import { drawRows } from './rows.js';
import { lineLength, type Scale, scaleAlong } from './scale.js';
import { shortWayPath } from './short-ways.js';
import { rowsHeight, rowsOf } from './strip-rows.js';
import { stripWords } from './strip-words.js';

/** The route strip as its template draws it: the walk as a line to scale, 368 units wide, `height` of them long. */
export interface StripModel extends Scale {
  height: number;
  /** The line's ends. */
  top: number;
  bottom: number;
  /** Paths; '' where there is nothing to draw. */
  climb: string;
  shortWays: string;
  leaders: string;
  light: string;
  /** Where the line is touched by a leader to a mark that stands aside. */
  dots: number[];
  marks: Placed[];
  titles: Written[];
  times: Written[];
  notes: Written[];
  /** Under the drawing: what its parts mean, and what has no place on it. */
  caption: string[];
  /** The same in words, in the order walked, for whoever does not see it. */
  list: string[];
}

const TOP = 12;
/** Room for the finish's square. */
const BELOW = 12;

/** Lays out the strip of a walk: every position in the drawing's units, all words ready. */
export function routeStrip(walk: StripWalk, around: StripAround): StripModel {
  const laid = layWalk(walk, around);
  const { units } = around.settings;
  const rows = rowsOf(laid);
  const length = lineLength(walk.distanceMetres, rowsHeight(rows));
  const y = (metres: number) => TOP + (metres / walk.distanceMetres) * length;
  const drawn = drawRows(rows, y);
  return {
    ...scaleAlong(walk.distanceMetres, length, TOP, units),
    ...drawn,
    height: Math.ceil(Math.max(drawn.end, TOP + length + BELOW)),
    top: TOP,
    bottom: tenth(TOP + length),
    climb: climbShape(around.profile, laid.heights, length, TOP),
    shortWays: laid.shorts.map((way) => shortWayPath(way, y)).join(''),
    ...stripWords(laid),
  };
}
