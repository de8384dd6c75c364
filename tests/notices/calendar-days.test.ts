import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { type CalendarDay, calendarFile } from '../../server/notices/calendar.js';
import { contentLines, read, sentLines, WALK } from './calendar-sample.js';

const DAY: CalendarDay = {
  uid: 'need-lantern-hills-2026-12@walks.example',
  stamp: Date.UTC(2026, 10, 25),
  date: '2026-12-31',
  title: 'Walk wanted: Lantern Hills, December has 1 of 2',
  description: 'Post it here: https://walks.example/lead/walks/new?area=lantern-hills&date=2026-12-05',
  url: 'https://walks.example/lead/walks/new?area=lantern-hills&date=2026-12-05',
  organizer: WALK.organizer,
};

describe('a whole day in a calendar', () => {
  it('is a date in no zone, ends with the day, and blocks no time', () => {
    const lines = contentLines(calendarFile([], 'Harrow Fells', [DAY]));
    expect(lines).toContain('DTSTART;VALUE=DATE:20261231');
    expect(lines).toContain('DTEND;VALUE=DATE:20270101');
    expect(lines).toContain('TRANSP:TRANSPARENT');
    const [event] = read(calendarFile([], 'Harrow Fells', [DAY])).events.map((one) => new ICAL.Event(one));
    expect([event?.startDate.isDate, event?.endDate.isDate, event?.duration.toSeconds()]).toEqual([true, true, 86_400]);
  });

  it.each(['2026-02-28', '2028-02-29', '2026-12-31', '2027-03-14'])('of %s lasts one day', (date) => {
    const { value } = read(calendarFile([], 'x', [{ ...DAY, date }]));
    expect(String(value('dtstart'))).toBe(date);
    expect(Date.parse(String(value('dtend'))) - Date.parse(date)).toBe(86_400_000);
  });

  it('stands beside walks, each with its own words', () => {
    const { events } = read(calendarFile([WALK, WALK], 'x', [DAY, DAY]));
    const of = (name: string) => events.map((event) => event.getFirstPropertyValue(name));
    expect(of('description')).toEqual([WALK.description, WALK.description, DAY.description, DAY.description]);
    expect(of('url')).toEqual([WALK.url, WALK.url, DAY.url, DAY.url]);
    expect(of('transp').slice(2)).toEqual(['TRANSPARENT', 'TRANSPARENT']);
  });

  it('reads back as it was written, and adds no line of its own, whatever the words', () => {
    const words = fc
      .string({ unit: 'grapheme', minLength: 1, maxLength: 200 })
      .map((text) => text.toWellFormed().replace(/[\p{Cc}\u2028\u2029]/gu, ''))
      .filter((text) => text.trim() !== '');
    const plain = contentLines(calendarFile([], 'x', [DAY])).length;
    fc.assert(
      fc.property(words, words, (title, description) => {
        const text = calendarFile([], 'x', [{ ...DAY, title, description }]);
        const { value } = read(text);
        expect([value('summary'), value('description')]).toEqual([title, description]);
        expect(contentLines(text)).toHaveLength(plain);
        expect(sentLines(text).every((line) => Buffer.byteLength(line) <= 75)).toBe(true);
      }),
    );
  });

  it('gives hostile words no line', () => {
    const evil = 'x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:evil';
    const { events } = read(calendarFile([], evil, [{ ...DAY, title: evil, description: evil, url: evil, uid: evil }]));
    expect(events).toHaveLength(1);
  });
});
