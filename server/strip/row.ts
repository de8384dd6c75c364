import type { Written } from './pen.js';
import { BASELINE } from './scale.js';
import { type Weight, width, wrap } from './text.js';

/** The words stand right of the line and its lanes. */
export const COLUMN = { from: 143, to: 368 } as const;
/** Sizes in the drawing's units. At 390 pixels a page's column is 356 wide: 14.5 units are 14 pixels there. The style sheet has the same figures. */
export const SIZE = { title: 15.5, note: 14.5 } as const;
/** Between words at the left and times at the right. */
const GAP = 8;
const PITCH = 18.5;
/** From the row's own place up to its top, and what its lines leave free below them. */
export const ABOVE = 13;
const BELOW = 11;
const MOST_TITLES = 3;

/** What a row says: what is there, when the group comes, and the softer words under it. */
export interface RowWords {
  title: string;
  times: string;
  notes: string[];
  /** Into so many lines a note is broken. */
  mostNotes: number;
  /** How far its words stand right of the column's edge, to leave room for a mark. */
  inset: number;
}

/** A row laid out, baselines counted from its own place. */
export interface LaidRow {
  titles: Written[];
  times: Written[];
  notes: Written[];
  height: number;
}

/** Breaks a row's words into lines. Times stand right of the title's last line, or below it where it is too long. */
export function layRow(words: RowWords): LaidRow {
  const room = COLUMN.to - COLUMN.from - words.inset;
  const lines = wrap(words.title, 'bold', SIZE.title, room, MOST_TITLES);
  const last = width(lines.at(-1) ?? '', 'bold', SIZE.title);
  const timesWidth = width(words.times, 'bold', SIZE.title);
  const beside = words.times === '' || last + GAP + timesWidth <= room;
  const timesAt = beside ? lines.length - 1 : lines.length;
  const notes = words.notes.flatMap((note) => wrap(note, 'plain', SIZE.note, room, words.mostNotes));
  const above = timesAt + 1;
  return {
    titles: lines.map((line, index) => written(line, index, words.inset)),
    times: words.times === '' ? [] : [written(words.times, timesAt, 0)],
    notes: notes.map((line, index) => written(line, above + index, words.inset)),
    height: ABOVE + (above + notes.length - 1) * PITCH + BELOW,
  };
}

function written(words: string, line: number, inset: number): Written {
  return { x: inset, y: BASELINE + line * PITCH, words };
}

/** How wide a line of a row's title is. */
export function titleWidth(words: string): number {
  const weight: Weight = 'bold';
  return width(words, weight, SIZE.title);
}
