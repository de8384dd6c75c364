import { difference, type Row } from './difference.js';

/** A row as the template asks for it: what kind it is by name, since a template can't compare. */
interface ShownRow {
  kept?: boolean;
  added?: boolean;
  removed?: boolean;
  line?: string;
  pieces?: { kept?: boolean; added?: boolean; removed?: boolean; words: string }[];
  /** "12 lines unchanged" */
  folded?: string;
}

export interface ShownDifference {
  /** "2 lines changed, 1 added, none taken out." */
  summary: string;
  rows: ShownRow[];
}

/** The difference between two texts as views/parts/text-difference.hbs shows it. Pure. */
export function shownDifference(before: string, after: string): ShownDifference {
  const rows = difference(before, after);
  const count = (kind: Row['kind']) => rows.filter((row) => row.kind === kind).length || 'none';
  const changed = count('changed');
  return {
    summary: `${changed} ${changed === 1 ? 'line' : 'lines'} changed, ${count('added')} added, ${count('removed')} taken out.`.replace(
      /^none/,
      'No',
    ),
    rows: rows.map(shown),
  };
}

function shown(row: Row): ShownRow {
  if (row.kind === 'folded') return { folded: `${row.lines.length} lines unchanged` };
  if (row.kind === 'changed') return { pieces: row.pieces.map(({ kind, text }) => ({ [kind]: true, words: text })) };
  return { [row.kind]: true, line: row.line };
}
