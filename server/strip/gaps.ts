import { ABOVE, type LaidRow } from './row.js';
import type { Row } from './strip-rows.js';

/** A row, its words laid out, and where it would like to stand. */
export interface Placing {
  row: Row;
  words: LaidRow;
  y: number;
}

interface Span {
  from: number;
  to: number;
}

/**
 * The rows in the order of the places they would like. A short way's words may stand anywhere beside its lane:
 * in the middle of the widest gap there, so that they are not taken for part of a stop.
 */
export function seekGaps(rows: Placing[], y: (metres: number) => number): Placing[] {
  const placed = rows.filter(({ row }) => row.kind !== 'short');
  for (const placing of rows) {
    const { row, words } = placing;
    if (row.kind !== 'short') continue;
    const gap = widestGap({ from: y(row.way.leaves), to: y(row.way.rejoins) }, placed.map(spanOf));
    const wish = { ...placing, y: (gap.from + gap.to - words.height) / 2 + ABOVE };
    // Never past the finish, whose row is the last.
    const after = placed.findIndex((other, index) => index === placed.length - 1 || (index > 0 && other.y > wish.y));
    placed.splice(after, 0, wish);
  }
  return placed;
}

function spanOf({ words, y }: Placing): Span {
  return { from: y - ABOVE, to: y - ABOVE + words.height };
}

/** The widest part of `whole` that no span covers; all of it where they leave none. @param spans in order of their beginnings */
function widestGap(whole: Span, spans: Span[]): Span {
  let widest: Span = { from: whole.from, to: whole.from };
  let free = whole.from;
  for (const span of [...spans, { from: whole.to, to: whole.to }]) {
    const gap = { from: free, to: Math.min(span.from, whole.to) };
    if (gap.to - gap.from > widest.to - widest.from) widest = gap;
    free = Math.max(free, span.to);
  }
  return widest.to > widest.from ? widest : whole;
}
