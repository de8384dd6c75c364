import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { difference, type Row } from '../../server/texts/difference.js';
import { shownDifference } from '../../server/texts/difference-page.js';

/** What either side of a difference reads: everything but what belongs to the other. */
function side(rows: Row[], other: 'added' | 'removed'): string {
  return rows
    .flatMap((row) => {
      if (row.kind === 'folded') return row.lines;
      if (row.kind !== 'changed') return row.kind === other ? [] : [row.line];
      return [
        row.pieces
          .filter((piece) => piece.kind !== other)
          .map((piece) => piece.text)
          .join(''),
      ];
    })
    .join('\n');
}

const before = (rows: Row[]) => side(rows, 'added');
const after = (rows: Row[]) => side(rows, 'removed');

const WORD = fc.constantFrom(
  'walk',
  'path',
  'two',
  'abreast',
  'Straße',
  'naïve',
  "don't",
  'don’t',
  ',',
  '.',
  '**',
  ' ',
  '  ',
  '\t',
  '🙂',
  '-',
);
const LINE = fc.array(WORD, { maxLength: 8 }).map((words) => words.join(''));
const TEXT = fc.array(LINE, { maxLength: 14 }).map((lines) => lines.join('\n'));

describe('the difference between two texts', () => {
  it('gives back both texts, whatever they are', () => {
    fc.assert(
      fc.property(fc.oneof(TEXT, fc.string({ unit: 'binary' })), fc.oneof(TEXT, fc.string({ unit: 'binary' })), (was, is) => {
        const rows = difference(was, is);
        expect(before(rows)).toBe(was);
        expect(after(rows)).toBe(is);
      }),
      { numRuns: 2000 },
    );
  });

  it('is word by word within a line that changed, and replaced words stand together', () => {
    expect(difference('The quick brown fox jumps.', 'The slow red fox jumps.')).toEqual([
      {
        kind: 'changed',
        pieces: [
          { kind: 'kept', text: 'The ' },
          { kind: 'removed', text: 'quick brown' },
          { kind: 'added', text: 'slow red' },
          { kind: 'kept', text: ' fox jumps.' },
        ],
      },
    ]);
  });

  it('knows words of any alphabet', () => {
    const [row] = difference('Идём вместе тихо', 'Идём вместе быстро');
    expect(row).toMatchObject({ kind: 'changed', pieces: [{ text: 'Идём вместе ' }, { text: 'тихо' }, { text: 'быстро' }] });
  });

  it('pairs a line with the one it became, not with the one that stands in its place', () => {
    const rows = difference('Keep two abreast at most.', 'Bring water.\nKeep two abreast, always, at most.');
    expect(rows.map((row) => row.kind)).toEqual(['added', 'changed']);
  });

  it('shows lines with little in common as taken out and added', () => {
    expect(difference('Walk on the left side.', 'Dogs stay at the back.').map((row) => row.kind)).toEqual(['removed', 'added']);
  });

  it('folds what is unchanged to three lines on either side', () => {
    const lines = Array.from({ length: 30 }, (_, index) => `Line ${index} of the text`);
    const changed = lines.with(15, 'Something else altogether');
    const rows = difference(lines.join('\n'), changed.join('\n'));
    expect(rows.map((row) => row.kind)).toEqual([
      'folded',
      ...Array<string>(3).fill('kept'),
      'removed',
      'added',
      ...Array<string>(3).fill('kept'),
      'folded',
    ]);
    expect(rows[0]).toMatchObject({ lines: lines.slice(0, 12) });
    expect(shownDifference(lines.join('\n'), changed.join('\n')).rows[0]).toEqual({ folded: '12 lines unchanged' });
  });

  it('does not fold one or two lines', () => {
    const text = (first: string) => [first, 'b', 'c', 'd', 'e', 'f'].join('\n');
    expect(difference(text('a'), text('x')).map((row) => row.kind)).toEqual(['removed', 'added', ...Array<string>(5).fill('kept')]);
  });

  it('says in words how much is different', () => {
    expect(shownDifference('a b c\nx', 'a b d\nx\ny').summary).toBe('1 line changed, 1 added, none taken out.');
    expect(shownDifference('x', 'x\ny').summary).toBe('No lines changed, 1 added, none taken out.');
  });
});

describe('a text of 40,000 characters against a wholly different one', () => {
  const MOST = 40_000;
  const filled = (piece: (index: number) => string) => {
    let text = '';
    for (let index = 0; text.length < MOST; index += 1) text += piece(index);
    return text.slice(0, MOST);
  };
  /** The same every time, and without a pattern. */
  const shuffled = (seed: number) => (index: number) => Math.floor(Math.abs(Math.sin(index * index + seed)) * 1e6);
  const [one, other] = [shuffled(1), shuffled(2)];
  const words = (number: number, most: number) => `w${number % most}`;

  it.each<[string, string, string]>([
    ['other words', filled((i) => `a${one(i)}${i % 12 ? ' ' : '\n'}`), filled((i) => `b${other(i)}${i % 12 ? ' ' : '\n'}`)],
    [
      'the same words otherwise',
      filled((i) => words(one(i), 300) + (i % 12 ? ' ' : '\n')),
      filled((i) => words(other(i), 300) + (i % 12 ? ' ' : '\n')),
    ],
    [
      'few long lines',
      filled((i) => words(one(i), 50) + (i % 700 ? ' ' : '\n')),
      filled((i) => words(other(i), 50) + (i % 700 ? ' ' : '\n')),
    ],
    ['one line', filled((i) => `${words(one(i), 300)} `), filled((i) => `${words(other(i), 300)} `)],
    [
      'lines of one letter',
      filled((i) => `${String.fromCharCode(97 + (one(i) % 26))}\n`),
      filled((i) => `${String.fromCharCode(97 + (other(i) % 26))}\n`),
    ],
    ['empty lines', filled(() => '\n'), filled(() => 'a\n')],
    ['no blanks', filled(() => 'a'), filled(() => 'b')],
  ])('takes no second: %s', (_, was, is) => {
    const from = performance.now();
    const rows = difference(was, is);
    // Some 0.3 s at most where this was written; two seconds, so that a busy machine does not fail it.
    expect(performance.now() - from).toBeLessThan(2000);
    expect(before(rows) === was && after(rows) === is).toBe(true);
  });
});
