/** How heavy the words are. */
export type Weight = 'plain' | 'bold';

/** How wide each character from the space to the tilde is, in hundredths of the size: measured in a browser in the site's face, tabular figures on. */
const WIDTHS: Record<Weight, number[]> = {
  plain: (
    '24 27 40 68 59 87 68 21 34 34 53 65 22 40 22 49 62 62 62 62 62 62 62 62 62 62 23 23 65 65 65 51 81 69 65 64 68 59 56 69 70 28 55 66 ' +
    '56 80 70 73 63 73 67 60 59 69 65 84 61 64 65 38 49 38 65 49 39 53 56 51 56 55 34 56 56 25 27 53 26 86 57 57 56 56 38 47 36 56 54 72 ' +
    '54 55 51 37 27 37 65'
  )
    .split(' ')
    .map(Number),
  bold: (
    '25 30 44 70 60 85 71 25 37 37 55 64 24 41 23 52 62 62 62 62 62 62 62 62 62 62 24 24 64 64 64 51 83 73 69 63 71 62 57 68 72 29 56 71 ' +
    '57 81 72 72 64 72 69 61 61 71 68 85 68 68 64 39 52 39 64 50 40 56 58 54 58 57 37 57 59 28 30 56 29 88 60 57 57 57 40 49 40 59 58 75 ' +
    '60 59 54 38 30 38 64'
  )
    .split(' ')
    .map(Number),
};
const FIRST_MEASURED = 0x20;
/** The dash and the ellipsis, then letters with accents, then what another face draws (wide scripts, pictures). */
const ELLIPSIS = 106;
const ACCENTED = 74;
const LATIN_END = 0x2030;
const WIDE = 125;
/** Where the site's face did not come, the one in its place may be a little wider. */
const ALLOWANCE = 1.02;

/** About how wide these words are at this size: never narrower than they are drawn in the site's face. */
export function width(words: string, weight: Weight, size: number): number {
  const table = WIDTHS[weight];
  let sum = 0;
  for (const character of words) {
    const code = character.codePointAt(0) ?? 0;
    if (character === '…') sum += ELLIPSIS;
    else sum += table[code - FIRST_MEASURED] ?? (code < LATIN_END ? ACCENTED : WIDE);
  }
  return (sum / 100) * size * ALLOWANCE;
}

/**
 * The words in lines no wider than `room`, broken between words, or inside one that has no line to itself wide enough.
 * What does not go into `most` lines is left out and said by an ellipsis.
 */
export function wrap(words: string, weight: Weight, size: number, room: number, most: number): string[] {
  if (width(words, weight, size) <= room) return words === '' ? [] : [words];
  const lines: string[] = [];
  const fits = (text: string) => width(text, weight, size) <= room;
  let line = '';
  for (const word of words.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (line !== '') lines.push(line);
    const pieces = broken(word, fits);
    line = pieces.pop() ?? '';
    lines.push(...pieces);
  }
  lines.push(line);
  return lines.length <= most ? lines : [...lines.slice(0, most - 1), shortened(lines[most - 1] ?? '', fits)];
}

function broken(word: string, fits: (text: string) => boolean): string[] {
  if (fits(word)) return [word];
  const pieces: string[] = [];
  let piece = '';
  for (const character of word) {
    if (fits(piece + character)) piece += character;
    else {
      pieces.push(piece);
      piece = character;
    }
  }
  return [...pieces, piece];
}

function shortened(line: string, fits: (text: string) => boolean): string {
  const characters = [...line];
  while (characters.length > 0 && !fits(`${characters.join('')}…`)) characters.pop();
  return `${characters.join('').replace(/[\s,;]+$/, '')}…`;
}
