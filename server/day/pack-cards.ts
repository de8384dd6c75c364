/** Something to say, on a card: what it is about, in bold, and the rest. */
export interface Said {
  lead: string;
  text: string;
}

/** What fits on a card of 76 × 127 mm at the size it is printed in (views/assets/css/93-pack.css), with room to spare. */
const CHARACTERS = 74;
const LINES = 14.3;
/** Rows to write in; one with a long name is as high as two. */
const ROWS = 5;
/** From here on a character is as wide as two: scripts written in squares. */
const WIDE_FROM = 0x2e80;
/** How much wider capitals are than the middling letter. */
const CAPITAL = 1.35;
/** A little air after each. */
const GAP_LINES = 0.2;

/** Lays what is to be said on cards, in its order; what is too long for one goes on on the next. Pure. */
export function layCards(blocks: readonly Said[]): Said[][] {
  const cards: Said[][] = [];
  let left = 0;
  for (const block of blocks.flatMap(cut)) {
    const need = linesOf(block) + GAP_LINES;
    const card = cards.at(-1);
    if (!card || need > left) {
      cards.push([block]);
      left = LINES - need;
    } else {
      card.push(block);
      left -= need;
    }
  }
  return cards;
}

/** Rows to write in, some to a card. Pure. */
export function layRows<Row extends { name: string }>(rows: readonly Row[]): Row[][] {
  return Array.from({ length: Math.ceil(rows.length / ROWS) }, (_, index) => rows.slice(index * ROWS, (index + 1) * ROWS));
}

/** How many lines a block takes, broken at blanks as a browser does, and within a word where it is longer than a line. */
function linesOf({ lead, text }: Said): number {
  return wrapped(`${lead} ${text}`.trim().split(/\s+/)).length;
}

/** The words of each line. */
function wrapped(words: string[]): string[][] {
  const lines: string[][] = [];
  let free = 0;
  for (const word of words) {
    const width = widthOf(word);
    const line = lines.at(-1);
    if (line && width + 1 <= free) {
      line.push(word);
      free -= width + 1;
    } else {
      // A word longer than a line takes as many as it needs.
      for (let over = width; over > CHARACTERS; over -= CHARACTERS) lines.push([]);
      lines.push([word]);
      free = CHARACTERS - (width % CHARACTERS);
    }
  }
  return lines;
}

/** A block in pieces, none longer than a card; only the first has the lead. */
function cut(block: Said): Said[] {
  const most = LINES - 1;
  if (linesOf(block) <= most) return [block];
  const pieces: Said[] = [];
  let words: string[] = [];
  const flush = () => {
    if (words.length > 0) pieces.push({ lead: pieces.length === 0 ? block.lead : '', text: words.join(' ') });
    words = [];
  };
  for (const word of block.text.split(/\s+/).flatMap(chunks)) {
    const lead = pieces.length === 0 ? block.lead : '';
    if (linesOf({ lead, text: [...words, word].join(' ') }) > most) flush();
    words.push(word);
  }
  flush();
  return pieces;
}

/** A word in pieces of a line at most. */
function chunks(word: string): string[] {
  if (widthOf(word) <= CHARACTERS) return [word];
  const letters = [...word];
  const each = Math.floor(CHARACTERS / 2);
  return Array.from({ length: Math.ceil(letters.length / each) }, (_, index) => letters.slice(index * each, (index + 1) * each).join(''));
}

/** In middling letters. */
function widthOf(word: string): number {
  return [...word].reduce(
    (sum, letter) => sum + ((letter.codePointAt(0) ?? 0) >= WIDE_FROM ? 2 : /[\p{Lu}mw_@%—]/u.test(letter) ? CAPITAL : 1),
    0,
  );
}
