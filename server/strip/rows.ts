import { seekGaps } from './gaps.js';
import { type Placed, tenth, type Written } from './pen.js';
import { ABOVE, COLUMN, type LaidRow, layRow, titleWidth } from './row.js';
import { settle } from './settle.js';
import { laneX } from './short-ways.js';
import type { Row } from './strip-rows.js';

const LINE = 104;
/** Marks closer than this would lie on one another: they stand aside, by their words. */
const MARKS_APART = 26;
const ASIDE = { mark: COLUMN.from + 13, inset: 35 } as const;
/** A row so little off its place needs no leader. */
const NEAR = 4;
/** Where leaders begin, clear of a mark or at a dot, and where they end. */
const LEADER = { mark: LINE + 16, dot: LINE + 5, end: COLUMN.from - 4 } as const;
const LIGHT = { from: 54, bend: 114, gap: 8 } as const;
/** The ends would rather keep their places beside their squares. */
const WEIGHTS = { start: 8, finish: 8, place: 2, short: 1, light: 1 } as const;

/** The rows as drawn. */
export interface DrawnRows {
  titles: Written[];
  times: Written[];
  notes: Written[];
  marks: Placed[];
  dots: number[];
  leaders: string;
  light: string;
  /** Where the last row's words end. */
  end: number;
}

/** Puts every row beside its place on the line, or as near as its neighbours allow. @param y where a distance is drawn */
export function drawRows(rows: Row[], y: (metres: number) => number): DrawnRows {
  const aside = crowded(rows, y);
  const laid = rows.map((row) => ({
    row,
    words: aside.has(row) ? layRow({ ...row.words, inset: ASIDE.inset }) : row.laid,
    y: y(row.metres),
  }));
  const placed = seekGaps(laid, y);
  const stands = settle(placed.map(({ row, words, y }) => ({ y, height: words.height, weight: WEIGHTS[row.kind] })));
  const drawn: DrawnRows = { titles: [], times: [], notes: [], marks: [], dots: [], leaders: '', light: '', end: 0 };
  placed.forEach(({ row, words }, index) => {
    const at = stands[index] ?? 0;
    drawn.titles.push(...moved(words.titles, at));
    drawn.times.push(...moved(words.times, at));
    drawn.notes.push(...moved(words.notes, at));
    drawn.end = at - ABOVE + words.height;
    if (row.kind === 'light') drawLight(drawn, row, words, y(row.metres), at);
    else if (row.kind === 'short') drawn.leaders += shortLeader(row, at, y);
    else drawMark(drawn, row.mark, aside.has(row), y(row.metres), at);
  });
  return drawn;
}

/** The places whose marks would touch a neighbour's. */
function crowded(rows: Row[], y: (metres: number) => number): Set<Row> {
  const marked = rows.filter(({ kind }) => kind === 'start' || kind === 'place' || kind === 'finish');
  const close = (a: Row | undefined, b: Row) => a !== undefined && Math.abs(y(a.metres) - y(b.metres)) < MARKS_APART;
  return new Set(marked.filter((row, index) => row.kind === 'place' && (close(marked[index - 1], row) || close(marked[index + 1], row))));
}

function moved(words: Written[], at: number): Written[] {
  return words.map(({ x, y, words }) => ({ x, y: tenth(at + y), words }));
}

function drawMark(drawn: DrawnRows, mark: string, isAside: boolean, place: number, at: number): void {
  if (isAside) {
    drawn.dots.push(tenth(place));
    drawn.marks.push({ mark, x: ASIDE.mark, y: tenth(at) });
    drawn.leaders += leader(LEADER.dot, place, at);
    return;
  }
  drawn.marks.push({ mark, x: LINE, y: tenth(place) });
  if (Math.abs(at - place) > NEAR) drawn.leaders += leader(LEADER.mark, place, at);
}

function leader(from: number, place: number, at: number): string {
  return `M${from} ${tenth(place)}L${LEADER.end} ${tenth(at)}`;
}

/** From the lane to its words: where there are several lanes, or the words stand beside none of it. */
function shortLeader({ way, several }: Row & { kind: 'short' }, at: number, y: (metres: number) => number): string {
  const [from, to] = [y(way.leaves), y(way.rejoins)];
  const bend = Math.min(12, (to - from) / 2);
  const touch = Math.min(Math.max(at, from + bend), to - bend);
  return several || Math.abs(touch - at) > NEAR ? leader(laneX(way.lane), touch, at) : '';
}

/** A dashed line across: from the left of the climb to the word, and from the word to the clock. */
function drawLight(drawn: DrawnRows, row: Row & { kind: 'light' }, words: LaidRow, place: number, at: number): void {
  const ends = COLUMN.from + row.words.inset + titleWidth(row.words.title) + LIGHT.gap;
  const clock = COLUMN.to - titleWidth(words.times[0]?.words ?? '') - LIGHT.gap;
  drawn.light += `M${LIGHT.from} ${tenth(place)}H${LIGHT.bend}L${LEADER.end} ${tenth(at)}M${tenth(ends)} ${tenth(at)}H${tenth(clock)}`;
  drawn.marks.push({ mark: row.mark, x: COLUMN.from + 8, y: tenth(at) });
}
