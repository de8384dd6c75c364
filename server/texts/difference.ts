import { diffArrays } from 'diff';
import { type Piece, paired, pieces } from './pairs.js';

/** One line of a difference. A changed one has both versions in its pieces; a folded one stands for a stretch that nobody needs to see. */
export type Row =
  | { kind: 'kept' | 'added' | 'removed'; line: string }
  | { kind: 'changed'; pieces: Piece[] }
  | { kind: 'folded'; lines: string[] };

/** Beyond so many lines put in and taken out the search for the fewest gets slow: the whole text is then shown as replaced. */
const MOST_LINE_EDITS = 2000;
/** Unchanged lines shown on either side of a change. */
const CONTEXT = 3;
/** A shorter stretch is not worth folding. */
const LEAST_FOLDED = 3;

/** What is different between two texts, line by line and, within a line that changed, word by word. Pure; no text of 40,000 characters takes it a second. */
export function difference(before: string, after: string): Row[] {
  const [was, is] = [before.split('\n'), after.split('\n')];
  const runs = diffArrays(was, is, { maxEditLength: MOST_LINE_EDITS }) ?? [
    { value: was, removed: true, added: false },
    { value: is, removed: false, added: true },
  ];
  const rows: Row[] = [];
  let gone: string[] = [];
  let come: string[] = [];
  for (const run of [...runs, { value: [], removed: false, added: false }]) {
    if (run.removed) gone = gone.concat(run.value);
    else if (run.added) come = come.concat(run.value);
    else {
      for (const row of replaced(gone, come)) rows.push(row);
      for (const line of run.value) rows.push({ kind: 'kept', line });
      [gone, come] = [[], []];
    }
  }
  return folded(rows);
}

/** Lines that took the place of others: those much alike as one changed line, the rest as taken out and put in. */
function replaced(gone: string[], come: string[]): Row[] {
  return paired(gone, come).flatMap(([was, is]): Row[] => {
    const changed = was === null || is === null ? null : pieces(was, is);
    if (changed) return [{ kind: 'changed', pieces: changed }];
    return [
      ...(was === null ? [] : [{ kind: 'removed' as const, line: was }]),
      ...(is === null ? [] : [{ kind: 'added' as const, line: is }]),
    ];
  });
}

function folded(rows: Row[]): Row[] {
  const shown = new Set<number>();
  for (const [index, row] of rows.entries()) {
    if (row.kind === 'kept') continue;
    for (let near = index - CONTEXT; near <= index + CONTEXT; near += 1) shown.add(near);
  }
  const out: Row[] = [];
  let hidden: Row[] = [];
  const fold = () => {
    const lines = hidden.flatMap((row) => (row.kind === 'kept' ? [row.line] : []));
    out.push(...(lines.length < LEAST_FOLDED ? hidden : [{ kind: 'folded' as const, lines }]));
    hidden = [];
  };
  for (const [index, row] of rows.entries()) {
    if (!shown.has(index)) hidden.push(row);
    else {
      fold();
      out.push(row);
    }
  }
  fold();
  return out;
}
