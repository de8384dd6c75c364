import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeList, type List, MOST_LINES, MOST_LIST_BYTES, plainList, readList } from '../../server/waivers/list.js';

const TODAY = '2026-11-25';

function read(text: string, today = TODAY): List {
  const list = readList(plainList(text), today);
  if ('fault' in list) throw new Error(list.fault);
  return list;
}

function fault(text: string): string {
  const list = readList(plainList(text), TODAY);
  return 'fault' in list ? list.fault : '';
}

const ANA = { name: 'Ana Ferreira', email: 'ana@walkers.example', signed: '2026-10-02' };
const line = (changed: Partial<typeof ANA> = {}) => Object.values({ ...ANA, ...changed }).join(',');
const bad = (...lines: string[]) => read(['name,email,signed', ...lines].join('\n')).bad.map(({ line: at, sentence }) => [at, sentence]);

describe('a list of signatures', () => {
  it.each([
    ['LF', `name,email,signed\n${line()}\n`],
    ['CRLF and no last line end', `name,email,signed\r\n${line()}`],
    ['a byte-order mark', `\uFEFFname,email,signed\r\n${line()}\r\n`],
    ['a byte-order mark before a quote', `\uFEFF"name",email,signed\n${line()}\n`],
    ['another order, capitals and blanks', 'Signed , EMAIL,Name\n2026-10-02, Ana@Walkers.example ,  Ana   Ferreira\n'],
    ['quotes', '"name","email","signed"\n"Ana Ferreira","ana@walkers.example","2026-10-02"\n'],
  ])('is read with %s', (_, text) => {
    expect(read(text)).toEqual({ good: [{ line: 2, ...ANA }], bad: [], ignored: [] });
  });

  it.each([
    ['semicolons', ';'],
    ['tabs', '\t'],
  ])('is read with %s, as its first line has them, and a comma within a name', (_, mark) => {
    const rows = [
      ['Signed', '"Name"', 'email', 'team'],
      ['2026-10-02', 'Ferreira, Ana', 'ana@walkers.example', '"x;y\tz"'],
    ];
    expect(read(rows.map((cells) => cells.join(mark)).join('\r\n'))).toEqual({
      good: [{ line: 2, ...ANA, name: 'Ferreira, Ana' }],
      bad: [],
      ignored: ['team'],
    });
  });

  it.each([
    ['10/12/2026', '10/12/2026 is not understood: write 2026-10-12 or 2026-12-10.'],
    ['25.11.2026', '25.11.2026 is not understood: write 2026-11-25.'],
    ['11-25-2026', '11-25-2026 is not understood: write 2026-11-25.'],
    ['5/5/2026', '5/5/2026 is not understood: write 2026-05-05.'],
    ['2026/10/2', '2026/10/2 is not understood: write 2026-10-02.'],
    ['31/31/2026', '31/31/2026 is not understood: write the year in four digits, then month and day, as 2026-11-05.'],
    ['10/12/26', '10/12/26 is not understood: write the year in four digits, then month and day, as 2026-11-05.'],
  ])('says how %s may be meant, and does not guess', (signed, sentence) => {
    expect(bad(line({ signed }))).toEqual([[2, sentence]]);
  });

  it('leaves other columns out, and says which', () => {
    const list = read(`name,phone,email,signed,"shoe, size"\nAna Ferreira,1,ana@walkers.example,2026-10-02,"4"\n`);
    expect(list).toMatchObject({ good: [ANA], ignored: ['phone', 'shoe, size'] });
  });

  it('takes quotes, commas and line ends within a value, and counts lines as an editor does', () => {
    const list = read(`name,email,signed\n\n"Ferreira, ""Ana""\nMaria",ana@walkers.example,2026-10-02\n,,\nBea,bea,2026-10-02\n`);
    expect(list.good).toEqual([{ line: 3, ...ANA, name: 'Ferreira, "Ana" Maria' }]);
    expect(list.bad).toEqual([{ line: 6, text: 'Bea, bea, 2026-10-02', sentence: 'That is no e-mail address.' }]);
  });

  it('says of each line that cannot be brought in why', () => {
    expect(
      bad(
        line({ name: '' }),
        line({ name: '17' }),
        line({ name: 'A'.repeat(81) }),
        line({ email: 'ana@' }),
        line({ signed: '02/10/2026' }),
        line({ signed: '2026-02-30' }),
        line({ signed: '' }),
        `${line()},more`,
        'Ana Ferreira',
      ),
    ).toEqual([
      [2, 'There is no name.'],
      [3, 'There is no name.'],
      [4, 'Keep the name under 80 characters.'],
      [5, 'That is no e-mail address.'],
      [6, '02/10/2026 is not understood: write 2026-02-10 or 2026-10-02.'],
      [7, '2026-02-30 is not understood: write the year in four digits, then month and day, as 2026-11-05.'],
      [8, 'There is no date.'],
      [9, 'The first line has 3 columns, this one 4.'],
      [10, 'The first line has 3 columns, this one 1.'],
    ]);
  });

  it('takes a signature of today, not of tomorrow, and of twelve months ago, not of a day before', () => {
    expect(bad(line({ signed: '2026-11-25' }))).toEqual([]);
    expect(bad(line({ signed: '2026-11-26' }))).toEqual([[2, 'The date is still to come.']]);
    expect(bad(line({ signed: '2025-11-25' }))).toEqual([]);
    expect(bad(line({ signed: '2025-11-24' }))).toEqual([[2, 'Signed more than 12 months ago: it has to be signed anew.']]);
  });

  it('counts the same person once: the first good line', () => {
    const wrong = line({ signed: 'soon' });
    expect(bad(wrong, line(), line({ name: 'ANA  FERREIRA', email: 'Ana@walkers.example' }), line({ name: 'Rui Ferreira' }))).toEqual([
      [2, 'soon is not understood: write the year in four digits, then month and day, as 2026-11-05.'],
      [4, 'The same person as line 3: that line counts.'],
    ]);
  });

  it('takes a formula for the text it is', () => {
    expect(read(`name,email,signed\n=SUM(A1),+a@walkers.example,2026-10-02\n`).good).toEqual([
      { line: 2, name: '=SUM(A1)', email: '+a@walkers.example', signed: '2026-10-02' },
    ]);
  });
});

describe('no list', () => {
  it.each([
    ['nothing', ' \n', /^Choose a CSV file/],
    [
      'no first line of names',
      `${line()}\n`,
      /^The first line must name the columns, parted by commas, semicolons or tabs: name,email,signed\. Here it is: Ana Ferreira, ana@/,
    ],
    ['semicolons and a column missing', 'name;email\n', /parted by commas/],
    ['a column missing', 'name,email\n', /must name the columns/],
    ['a column twice', 'name,email,signed,Name\n', /must name the columns/],
    [
      'a quotation mark within a value',
      `name,email,signed\n${line()}\nAna "Nan" F,a@walkers.example,2026-10-02\n`,
      /^Line 3: a quotation mark/,
    ],
    ['something after a closing one', `name,email,signed\n"Ana" F,a@walkers.example,2026-10-02\n`, /^Line 2: a quotation mark/],
    [
      'one that is not closed',
      `name,email,signed\n${line()}\n\n"Ana,a@walkers.example,2026-10-02\n${line()}\n`,
      /^Line 4: .* never closed/,
    ],
  ])('%s is refused with a sentence', (_, text, sentence) => {
    expect(fault(text)).toMatch(sentence);
  });

  it('more people than fit, or more bytes than the form can carry', () => {
    const short = (count: number) =>
      `name,email,signed\n${Array.from({ length: count }, (_, index) => `A,a${index}@b.example,2026-10-02\n`).join('')}`;
    expect(read(short(MOST_LINES)).good).toHaveLength(MOST_LINES);
    expect(fault(short(MOST_LINES + 1))).toMatch(/^This list has 5001 people; 5000 at most fit\. Split it/);
    const wide = (bytes: number) => `name,email,signed\n${'é'.repeat((bytes - 20) / 2)}`;
    expect(fault(wide(MOST_LIST_BYTES))).toBe('');
    expect(fault(wide(MOST_LIST_BYTES + 2))).toMatch(/Split it/);
  });

  it('a file in another encoding', () => {
    expect(decodeList([Buffer.from('name,email', 'utf16le')])).not.toBe('name,email');
    expect(decodeList([Buffer.from([0xc9, 0x6d, 0x69])])).toBeNull();
    const split = Buffer.from('Zoë');
    expect(decodeList([split.subarray(0, 3), split.subarray(3)])).toBe('Zoë');
  });
});

/** Writes a table as RFC 4180 has it, quoting where it must, and elsewhere as `quoted` says. */
function written(rows: string[][], quoted: boolean, end: string): string {
  const cell = (value: string) => (quoted || /[",\r\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value);
  return rows.map((row) => row.map(cell).join(',') + end).join('');
}

describe('whatever a name holds', () => {
  const names = fc.array(fc.oneof(fc.string({ maxLength: 20 }), fc.constantFrom('"', ',', '\n', '\r\n', '""', "'", ';', '=1+1')), {
    maxLength: 5,
  });

  it('comes through quoting, in every order of the columns', () => {
    const orders = fc.shuffledSubarray(['name', 'email', 'signed', 'note'], { minLength: 4 });
    fc.assert(
      fc.property(
        fc.array(names, { minLength: 1, maxLength: 6 }),
        orders,
        fc.boolean(),
        fc.constantFrom('\n', '\r\n'),
        (lists, order, quoted, end) => {
          const people = lists.map((parts, index) => ({
            name: `N${parts.join('')}`,
            email: `a${index}@walkers.example`,
            signed: '2026-10-02',
            note: parts.join(' '),
          }));
          const rows = [order, ...people.map((person) => order.map((column) => person[column as keyof typeof person]))];
          const list = read(written(rows, quoted, end));
          const asShown = (name: string) =>
            name
              .replace(/\r\n?/g, '\n')
              .replace(/[^\P{Cc}\t\n]/gu, '')
              .replace(/\s+/g, ' ')
              .trim();
          expect(list.good.map(({ name, email }) => ({ name, email }))).toEqual(
            people.filter(({ name }) => asShown(name).length <= 80).map(({ name, email }) => ({ name: asShown(name), email })),
          );
          expect(list.ignored).toEqual(['note']);
        },
      ),
    );
  });

  it('never throws, and what is carried on reads the same again', () => {
    const pieces = fc.array(
      fc.oneof(fc.string({ unit: 'binary' }), fc.constantFrom('name,email,signed\n', '"', ',', '\r', '\n', 'a@b.example', TODAY)),
    );
    fc.assert(
      fc.property(pieces, (parts) => {
        const text = plainList(`name,email,signed\n${parts.join('')}`);
        expect(plainList(text)).toBe(text);
        expect(readList(plainList(text.replaceAll('\n', '\r\n')), TODAY)).toEqual(readList(text, TODAY));
      }),
      { numRuns: 500 },
    );
  });
});
