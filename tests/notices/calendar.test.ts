import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CalendarWalk, calendarFile, calendarInvitation } from '../../server/notices/calendar.js';
import { ANA, contentLines, read, sentLines, WALK } from './calendar-sample.js';

const hostile = fc.constantFrom(
  'x\r\nATTENDEE:mailto:mallory@evil.example',
  'x\nATTENDEE;CN="Mallory":mailto:mallory@evil.example',
  'x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:evil\r\nEND:VEVENT',
  'x\\nATTENDEE:mailto:mallory@evil.example',
  'x\rMETHOD:CANCEL',
  'x\u2028X-EVIL:1\u0085X-EVIL:2\vX-EVIL:3',
  '\r\n BEGIN:VEVENT',
  'a;b:c,d\\e"f',
  '";X-EVIL=1:mailto:mallory@evil.example',
  "^nBEGIN:VEVENT^'",
  'BEGIN:VEVENT',
  'END:VEVENT',
  '\ud800',
  '$& $1 $`',
  '東京'.repeat(40),
  '🥾'.repeat(40),
);
const anyText = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 120 }),
  fc.string({ unit: 'grapheme', maxLength: 120 }),
  hostile,
  fc.tuple(fc.string({ maxLength: 80 }), hostile).map((parts) => parts.join('')),
);
/** Text with something in it once control characters are out. */
const anyWords = anyText.map((text) => `w${text}`);
/** Text as a form leaves it: nothing that is not shown. */
const typed = fc
  .string({ unit: 'grapheme', minLength: 1, maxLength: 200 })
  .map((text) => text.toWellFormed().replace(/[\p{Cc}\u2028\u2029]/gu, ''))
  .filter((text) => text !== '');

const names = (text: string) => read(text).events.map((event) => event.getAllProperties().map((one) => one.name));

describe('an invitation', () => {
  it('says what, when and where, and rings two hours before', () => {
    const { value, parameter, alarms } = read(calendarInvitation(WALK, ANA));
    expect(value('summary')).toBe(WALK.title);
    expect(value('location')).toBe(WALK.place);
    expect(value('description')).toBe(WALK.description);
    expect(value('url')).toBe(WALK.url);
    expect(value('status')).toBe('CONFIRMED');
    expect(String(value('dtstart'))).toBe('2026-11-28T13:45:00Z');
    expect(String(value('dtend'))).toBe('2026-11-28T17:54:00Z');
    expect(parameter('organizer', 'cn')).toBe('Harrow Fells Walkers');
    expect(parameter('attendee', 'cn')).toBe('Ana Ferreira');
    expect(alarms.map((alarm) => String(alarm.getFirstPropertyValue('trigger')))).toEqual(['-PT2H']);
  });

  it('is made anew for each attendee and for each change of the walk', () => {
    const moved = { ...WALK, sequence: 4, start: WALK.start + 3_600_000 };
    expect(read(calendarInvitation(WALK, ANA)).all('attendee')).toEqual(['mailto:ana@walkers.example']);
    expect(read(calendarInvitation(WALK, { name: 'Ben', email: 'ben@walkers.example' })).all('attendee')).toEqual([
      'mailto:ben@walkers.example',
    ]);
    expect(read(calendarInvitation(moved, ANA)).value('sequence')).toBe(4);
    expect(String(read(calendarInvitation(moved, ANA)).value('dtstart'))).toBe('2026-11-28T14:45:00Z');
    expect(read(calendarInvitation(WALK, ANA)).value('sequence')).toBe(3);
  });

  it('leaves the position out where there is none', () => {
    expect(read(calendarInvitation({ ...WALK, lat: null, lon: null }, ANA)).all('geo')).toEqual([]);
  });

  it.each(['http://localhost:3000/walks/1', 'http://[::1]:3000/walks/1', 'https://my_box/walks/1'])('takes a page at %s', (url) => {
    expect(read(calendarInvitation({ ...WALK, url }, ANA)).value('url')).toBe(url);
  });

  it('throws an Error where no calendar can be made', () => {
    expect(() => calendarInvitation({ ...WALK, sequence: 1.5 }, ANA)).toThrow('no calendar was made');
  });
});

describe('a file of walks', () => {
  it('has a name, which may hold marks, and each walk with its own page and organizer', () => {
    const second = {
      ...WALK,
      uid: 'walk-2',
      url: 'https://walks.example/walks/2',
      organizer: { name: 'Others', email: 'others@walkers.example' },
    };
    const { calendar, events } = read(calendarFile([WALK, second], 'Harrow, Fells; Walkers\n'));
    expect(contentLines(calendarFile([], 'Harrow, Fells; Walkers'))).toContain('X-WR-CALNAME:Harrow\\, Fells\\; Walkers');
    expect(calendar.getAllProperties('x-wr-calname')).toHaveLength(1);
    expect(events.map((event) => event.getFirstPropertyValue('url'))).toEqual([WALK.url, second.url]);
    expect(events.map((event) => event.getFirstPropertyValue('organizer'))).toEqual([
      'mailto:walks@walkers.example',
      'mailto:others@walkers.example',
    ]);
  });

  it('may be empty', () => {
    const { calendar, events } = read(calendarFile([], 'Nothing yet'));
    expect(events).toEqual([]);
    expect(calendar.getFirstPropertyValue('method')).toBe('PUBLISH');
  });
});

describe('whatever is typed', () => {
  const shape = names(calendarInvitation(WALK, ANA));

  it.each(['uid', 'title', 'place', 'description', 'url'] as const)('%s can add no line, person or event', (field) => {
    fc.assert(
      fc.property(anyWords, fc.boolean(), (text, cancelled) => {
        const walk: CalendarWalk = { ...WALK, [field]: text, cancelled };
        expectUntouched(calendarInvitation(walk, ANA), shape);
        expect(names(calendarFile([walk, WALK], 'Walks'))).toHaveLength(2);
      }),
      { numRuns: 200 },
    );
  });

  it('names and addresses of organizer and attendee, and the name of a file, can add none', () => {
    fc.assert(
      fc.property(anyText, anyWords, (name, email) => {
        expectUntouched(
          calendarInvitation({ ...WALK, organizer: { name, email: WALK.organizer.email } }, { name, email: ANA.email }),
          shape,
        );
        const sent = calendarInvitation({ ...WALK, organizer: { name, email } }, { name, email });
        expect(names(sent)).toEqual(shape);
        expect(read(sent).all('attendee')).toHaveLength(1);
        const file = calendarFile([WALK], name);
        expect(names(file)).toHaveLength(1);
        expect(read(file).calendar.getFirstPropertyValue('method')).toBe('PUBLISH');
      }),
      { numRuns: 300 },
    );
  });

  it('text that can be shown reads back as it was typed', () => {
    fc.assert(
      fc.property(typed, typed, typed, typed, (uid, title, place, description) => {
        const { value } = read(calendarInvitation({ ...WALK, uid, title, place, description }, ANA));
        expect([value('uid'), value('summary'), value('location'), value('description')]).toEqual([uid, title, place, description]);
      }),
      { numRuns: 300 },
    );
  });

  it('line ends of every kind read back as one kind, and other control characters are left out', () => {
    const { value } = read(calendarInvitation({ ...WALK, description: 'a\r\nb\rc\nd\u2028e\u2029f\u0085g\u0000\u0007\u007fh\ti' }, ANA));
    expect(value('description')).toBe('a\nb\nc\nd\ne\nf\ngh\ti');
  });

  it('marks in a UID are escaped', () => {
    expect(contentLines(calendarInvitation({ ...WALK, uid: 'a,b;c\\d' }, ANA))).toContain('UID:a\\,b\\;c\\\\d');
  });

  // RFC 6868: ^n in a parameter would be read as the end of a line.
  it('a circumflex in a name stays one', () => {
    expect(read(calendarInvitation(WALK, { ...ANA, name: 'Ana^nFerreira^^' })).parameter('attendee', 'cn')).toBe('Ana^nFerreira^^');
  });

  it('a name reads back as it was typed, but for quotation marks and runs of blanks', () => {
    fc.assert(
      fc.property(typed, (name) => {
        const { parameter } = read(calendarInvitation({ ...WALK, organizer: { ...WALK.organizer, name } }, { ...ANA, name }));
        const shown = name.replace(/\s+/g, ' ').replaceAll('"', "'").trim();
        expect([parameter('attendee', 'cn') ?? '', parameter('organizer', 'cn') ?? '']).toEqual([shown, shown]);
      }),
      { numRuns: 300 },
    );
  });

  it.each([
    ['ana+walks@walkers.example', 'mailto:ana+walks@walkers.example'],
    ["o'hara.b_1-2@walkers.example", "mailto:o'hara.b_1-2@walkers.example"],
    ['ana@walkers.example\r\nATTENDEE:mailto:eve@evil.example', 'mailto:ana@walkers.exampleATTENDEE%3Amailto%3Aeve@evil.example'],
    ['ana@walkers.example,eve@evil.example', 'mailto:ana@walkers.example%2Ceve@evil.example'],
    ['50%?cc=eve@walkers.example', 'mailto:50%25%3Fcc%3Deve@walkers.example'],
  ])('the address %j stays one address', (email, written) => {
    expect(read(calendarInvitation(WALK, { name: 'Ana', email })).all('attendee')).toEqual([written]);
  });
});

function expectUntouched(sent: string, shape: string[][]): void {
  expect(names(sent)).toEqual(shape);
  expect(Math.max(...sentLines(sent).map((line) => Buffer.byteLength(line)))).toBeLessThanOrEqual(75);
  expect(sent.replaceAll('\r\n', '')).not.toMatch(/[^\P{Cc}\t]/u);
  expect(read(sent).all('attendee')).toEqual(['mailto:ana@walkers.example']);
  expect(read(sent).all('organizer')).toEqual(['mailto:walks@walkers.example']);
}
