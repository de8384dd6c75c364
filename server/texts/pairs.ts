import { diffArrays } from 'diff';

/** A stretch of a line that changed: in both versions, only in the one before, or only in the one after. */
export interface Piece {
  kind: 'kept' | 'removed' | 'added';
  text: string;
}

/** From this part of their words on, two lines count as one that was changed. */
const LEAST_ALIKE = 0.4;
/** Beyond so many pairs of lines none are looked for. */
const MOST_PAIRS = 4000;
/** Beyond so many words put in and taken out a line is shown as replaced. */
const MOST_WORD_EDITS = 500;

const WORDS = /[\p{L}\p{M}\p{N}]+(?:['’][\p{L}\p{M}\p{N}]+)*/gu;
/** Words, blanks, and each other character alone. The library's own knows no letters but Latin ones. */
const TOKENS = new RegExp(`${WORDS.source}|\\s+|[^\\p{L}\\p{M}\\p{N}\\s]`, 'gu');

/** Finds which taken-out line became which put-in one, in their order: the pairs that are most alike together; null stands where a line has no counterpart. */
export function paired(gone: string[], come: string[]): [string | null, string | null][] {
  const alone = (from: number, to: number): [string | null, string | null][] => [
    ...gone.slice(from).map((line): [string, null] => [line, null]),
    ...come.slice(to).map((line): [null, string] => [null, line]),
  ];
  if (gone.length * come.length > MOST_PAIRS) return alone(0, 0);
  const alike = likeness(gone, come);
  const best = bestFrom(alike, come.length);
  const pairs: [string | null, string | null][] = [];
  let [from, to] = [0, 0];
  while (from < gone.length && to < come.length) {
    const here = best(from, to);
    const likes = alike[from]?.[to] ?? 0;
    if (likes > 0 && here === likes + best(from + 1, to + 1)) {
      pairs.push([gone[from] ?? null, come[to] ?? null]);
      from += 1;
      to += 1;
    } else if (here === best(from + 1, to)) {
      pairs.push([gone[from] ?? null, null]);
      from += 1;
    } else {
      pairs.push([null, come[to] ?? null]);
      to += 1;
    }
  }
  return [...pairs, ...alone(from, to)];
}

/** The most likeness that pairs from these two lines on can add up to. */
function bestFrom(alike: number[][], width: number): (from: number, to: number) => number {
  const best = new Float64Array((alike.length + 1) * (width + 1));
  const at = (from: number, to: number) => best[from * (width + 1) + to] ?? 0;
  for (let from = alike.length - 1; from >= 0; from -= 1)
    for (let to = width - 1; to >= 0; to -= 1) {
      const likes = alike[from]?.[to] ?? 0;
      const withPair = likes > 0 ? likes + at(from + 1, to + 1) : 0;
      best[from * (width + 1) + to] = Math.max(withPair, at(from + 1, to), at(from, to + 1));
    }
  return at;
}

/** How much of their words each two lines share (Dice's coefficient, 1945): 0 to 1, and 0 where it is too little to call them one line. */
function likeness(gone: string[], come: string[]): number[][] {
  const [was, is] = [gone.map(countWords), come.map(countWords)];
  return was.map((one) =>
    is.map((other) => {
      let shared = 0;
      for (const [word, times] of one.words) shared += Math.min(times, other.words.get(word) ?? 0);
      const alike = shared === 0 ? 0 : (2 * shared) / (one.total + other.total);
      return alike < LEAST_ALIKE ? 0 : alike;
    }),
  );
}

function countWords(line: string): { words: Map<string, number>; total: number } {
  const words = new Map<string, number>();
  const all = line.match(WORDS) ?? [];
  for (const word of all) words.set(word, (words.get(word) ?? 0) + 1);
  return { words, total: all.length };
}

/** What is different within a line; null where so much is that it is read more easily as replaced. */
export function pieces(was: string, is: string): Piece[] | null {
  const runs = diffArrays(was.match(TOKENS) ?? [], is.match(TOKENS) ?? [], { maxEditLength: MOST_WORD_EDITS });
  if (!runs) return null;
  const out: Piece[] = [];
  let [removed, added] = ['', ''];
  const flush = () => {
    if (removed) out.push({ kind: 'removed', text: removed });
    if (added) out.push({ kind: 'added', text: added });
    [removed, added] = ['', ''];
  };
  for (const [index, run] of runs.entries()) {
    const text = run.value.join('');
    const isBridge = removed && added && index < runs.length - 1 && !/[\p{L}\p{N}]/u.test(text);
    if (run.removed) removed += text;
    else if (run.added) added += text;
    else if (isBridge) {
      // A blank between two replaced words belongs to both: "quick fox" became "slow dog", not quick slow and fox dog.
      removed += text;
      added += text;
    } else {
      flush();
      out.push({ kind: 'kept', text });
    }
  }
  flush();
  return out;
}
