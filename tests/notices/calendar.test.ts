import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { type CalendarWalk, calendarFile, calendarInvitation } from '../../server/notices/calendar.js';

// RFC 5545, 5546 and 6047 as read for the check values; the results are read back with ical.js, another parser.
const WALK: CalendarWalk = {
  uid: 'walk-1@walks.example',
  sequence: 3,
  stamp: Date.UTC(2026, 10, 25, 12),
  start: Date.UTC(2026, 10, 28, 13, 45),
  end: Date.UTC(2026, 10, 28, 17, 54),
  zone: 'America/New_York',
  title: '8-mile walk: Quarry Lakes loop, Lantern Hills',
  place: 'Weir car park, by the green ticket machine',
  lat: 41.3,
  lon: -85.1,
  description: 'Bring water; wear a hat.\nLeader: Lena Marsh',
  url: 'https://walks.example/walks/1',
  cancelled: false,
  organizer: { name: 'Harrow Fells Walkers', email: 'walks@walkers.example' },
};
const ANA = { name: 'Ana Ferreira', email: 'ana@walkers.example' };

function read(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return { calendar, events: calendar.getAllSubcomponents('vevent') };
}

function octets(text: string): number[] {
  return text.split('\r\n').map((line) => Buffer.byteLength(line));
}

const anyText = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 120 }),
  fc.string({ unit: 'grapheme', maxLength: 120 }),
  fc.constantFrom(
    'x\r\nATTENDEE:mailto:mallory@evil.example',
    'x\nBEGIN:VEVENT\nEND:VEVENT',
    'a;b:c,d\\e"f',
    '\u2028X-EVIL:1',
    'x\rMETHOD:CANCEL',
    '東京'.repeat(40),
    '🥾'.repeat(40),
  ),
);

describe('an invitation', () => {
  it('says when and where, keeps its UID, and carries SEQUENCE, organizer, attendee and an alarm', () => {
    const { calendar, events } = read(calendarInvitation(WALK, ANA));
    const event = events[0];
    expect(calendar.getFirstPropertyValue('method')).toBe('REQUEST');
    expect(event?.getFirstPropertyValue('uid')).toBe('walk-1@walks.example');
    expect(event?.getFirstPropertyValue('sequence')).toBe(3);
    expect(String(event?.getFirstPropertyValue('dtstart'))).toBe('2026-11-28T13:45:00Z');
    expect(String(event?.getFirstPropertyValue('dtend'))).toBe('2026-11-28T17:54:00Z');
    expect(String(event?.getFirstPropertyValue('dtstamp'))).toBe('2026-11-25T12:00:00Z');
    expect(event?.getFirstPropertyValue('summary')).toBe(WALK.title);
    expect(event?.getFirstPropertyValue('location')).toBe(WALK.place);
    expect(event?.getFirstPropertyValue('description')).toBe(WALK.description);
    expect(event?.getFirstPropertyValue('organizer')).toBe('mailto:walks@walkers.example');
    expect(event?.getAllProperties('attendee')).toHaveLength(1);
    expect(event?.getFirstProperty('attendee')?.getFirstParameter('cn')).toBe('Ana Ferreira');
    expect(event?.getAllSubcomponents('valarm')).toHaveLength(1);
    expect(String(event?.getFirstSubcomponent('valarm')?.getFirstPropertyValue('trigger'))).toBe('-PT2H');
  });

  it('to a cancelled walk is METHOD:CANCEL with the same UID, STATUS:CANCELLED and no alarm', () => {
    const { calendar, events } = read(calendarInvitation({ ...WALK, cancelled: true, sequence: 4 }, ANA));
    expect(calendar.getFirstPropertyValue('method')).toBe('CANCEL');
    expect(events[0]?.getFirstPropertyValue('status')).toBe('CANCELLED');
    expect(events[0]?.getFirstPropertyValue('uid')).toBe(WALK.uid);
    expect(events[0]?.getFirstPropertyValue('sequence')).toBe(4);
    expect(events[0]?.getAllSubcomponents('valarm')).toEqual([]);
    expect(events[0]?.getAllProperties('attendee')).toHaveLength(1);
  });
});

describe('a file of walks', () => {
  it('is PUBLISH, names nobody, keeps cancelled walks, and may be empty', () => {
    const { calendar, events } = read(calendarFile([WALK, { ...WALK, uid: 'walk-2', cancelled: true }], 'Harrow, Fells; Walkers'));
    expect(calendar.getFirstPropertyValue('method')).toBe('PUBLISH');
    expect(events.map((event) => event.getFirstPropertyValue('status'))).toEqual(['CONFIRMED', 'CANCELLED']);
    expect(events.flatMap((event) => event.getAllProperties('attendee'))).toEqual([]);
    expect(read(calendarFile([], 'Nothing yet')).events).toEqual([]);
  });
});

describe('whatever is typed', () => {
  it('every line is at most 75 octets, ends with CRLF, and no character is cut', () => {
    fc.assert(
      fc.property(anyText, anyText, (title, place) => {
        const text = calendarInvitation({ ...WALK, title, place }, { ...ANA, name: title });
        expect(Math.max(...octets(text))).toBeLessThanOrEqual(75);
        expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
        expect(text).not.toContain('\ufffd'.repeat(2));
      }),
      { numRuns: 300 },
    );
  });

  it('no field can add a line, a person or an event of its own', () => {
    const shape = read(calendarInvitation(WALK, ANA))
      .events[0]?.getAllProperties()
      .map((one) => one.name);
    fc.assert(
      fc.property(anyText, anyText, anyText, anyText, (title, place, description, name) => {
        fc.pre([title, place, description].every((text) => /\S/.test(text.replace(/[\p{C}]/gu, ''))));
        const hostile = { ...WALK, title, place, description, uid: `u${name}`, organizer: { name, email: 'walks@walkers.example' } };
        const { calendar, events } = read(calendarInvitation(hostile, { name, email: `ana@walkers.example` }));
        expect(events).toHaveLength(1);
        expect(events[0]?.getAllProperties().map((one) => one.name)).toEqual(shape);
        expect(events[0]?.getAllProperties('attendee').map((one) => one.getFirstValue())).toEqual(['mailto:ana@walkers.example']);
        expect(calendar.getFirstPropertyValue('method')).toBe('REQUEST');
      }),
      { numRuns: 500 },
    );
  });

  it('text without control characters reads back as it was', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', minLength: 1, maxLength: 200 }), (title) => {
        fc.pre(!/[\p{Cc}\u2028\u2029]/u.test(title) && title.isWellFormed() && title.trim() === title);
        expect(
          read(calendarFile([{ ...WALK, title, place: title, description: title }], 'x')).events[0]?.getFirstPropertyValue('summary'),
        ).toBe(title);
      }),
      { numRuns: 300 },
    );
  });

  it('an address with a line end in it stays one address', () => {
    const { events } = read(calendarInvitation(WALK, { name: 'Ana', email: 'ana@walkers.example\r\nATTENDEE:mailto:eve@evil.example' }));
    expect(events[0]?.getAllProperties('attendee')).toHaveLength(1);
  });
});
