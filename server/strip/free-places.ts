import { type Placed, tenth } from './pen.js';

/** Marks closer than this lie on one another. */
const APART = 25;
const RINGS = [30, 44, 60];
const WAYS_ROUND = 8;
/** No mark nearer to the drawing's sides than this. */
const SIDE = 16;

/**
 * The marks where they can be told apart: each at its own place, or, where another has it, at the nearest free one around, with a leader to its place.
 * A walk has few marks, so each is simply tried against those before it. @param fixed marks that keep their places @param size how wide the drawing is
 */
export function freePlaces(fixed: Placed[], wanted: Placed[], size: number): { marks: Placed[]; leaders: string } {
  const marks = [...fixed];
  let leaders = '';
  for (const { mark, x, y } of wanted) {
    const free = around(x, y).find((place) => inside(place.x, size) && marks.every((other) => far(other, place))) ?? { x, y };
    if (free.x !== x || free.y !== y) leaders += `M${tenth(x)} ${tenth(y)}L${tenth(free.x)} ${tenth(free.y)}`;
    marks.push({ mark, x: tenth(free.x), y: tenth(free.y) });
  }
  return { marks, leaders };
}

function around(x: number, y: number): { x: number; y: number }[] {
  const turns = Array.from({ length: WAYS_ROUND }, (_, index) => (index * 2 * Math.PI) / WAYS_ROUND);
  return [
    { x, y },
    ...RINGS.flatMap((radius) => turns.map((turn) => ({ x: x + radius * Math.cos(turn), y: y + radius * Math.sin(turn) }))),
  ];
}

function inside(x: number, size: number): boolean {
  return x >= SIDE && x <= size - SIDE;
}

function far(a: { x: number; y: number }, b: { x: number; y: number }): boolean {
  return Math.hypot(a.x - b.x, a.y - b.y) >= APART;
}
