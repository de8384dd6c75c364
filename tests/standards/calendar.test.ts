import { describe, expect, it } from 'vitest';
import { type CalendarWalk, calendarFile, calendarInvitation } from '../../server/notices/calendar.js';
import { ANA, contentLines, read, sentLines, WALK } from '../notices/calendar-sample.js';

const cancelled: CalendarWalk = { ...WALK, cancelled: true, sequence: 4 };

// Source: RFC 5546 (read): 3.2.2 REQUEST, 3.2.5 CANCEL, 3.2.1 PUBLISH.
describe('RFC 5546', () => {
  it('REQUEST has one organizer, one attendee, and the sequence it is given', () => {
    const { calendar, value, all } = read(calendarInvitation(WALK, ANA));
    expect(calendar.getFirstPropertyValue('method')).toBe('REQUEST');
    expect(all('organizer')).toEqual(['mailto:walks@walkers.example']);
    expect(all('attendee')).toEqual(['mailto:ana@walkers.example']);
    expect(value('sequence')).toBe(3);
  });

  it('CANCEL keeps the UID, says STATUS:CANCELLED, names organizer and attendee, and has no alarm', () => {
    const { calendar, value, all, alarms } = read(calendarInvitation(cancelled, ANA));
    expect(calendar.getFirstPropertyValue('method')).toBe('CANCEL');
    expect(value('uid')).toBe(WALK.uid);
    expect(value('status')).toBe('CANCELLED');
    expect(value('sequence')).toBe(4);
    expect(all('organizer')).toHaveLength(1);
    expect(all('attendee')).toEqual(['mailto:ana@walkers.example']);
    expect(alarms).toEqual([]);
  });

  it('PUBLISH has an organizer for each event and nobody who attends, cancelled walks among them', () => {
    const { calendar, events } = read(calendarFile([WALK, { ...cancelled, uid: 'walk-2' }], 'Walks'));
    expect(calendar.getFirstPropertyValue('method')).toBe('PUBLISH');
    expect(events.map((event) => event.getFirstPropertyValue('uid'))).toEqual([WALK.uid, 'walk-2']);
    expect(events.map((event) => event.getFirstPropertyValue('status'))).toEqual(['CONFIRMED', 'CANCELLED']);
    expect(events.map((event) => event.getAllProperties('organizer').length)).toEqual([1, 1]);
    expect(events.flatMap((event) => event.getAllProperties('attendee'))).toEqual([]);
    expect(events.flatMap((event) => event.getAllSubcomponents('valarm'))).toEqual([]);
  });
});

// Source: RFC 5545 (read): 3.1 content lines, 3.6 components, 3.6.1 and 3.6.6 events and alarms, 3.3.5 times, 3.8.1.6 positions.
describe('RFC 5545', () => {
  it('says its version and product once, and times in UTC', () => {
    const lines = contentLines(calendarInvitation(WALK, ANA));
    expect(lines.filter((line) => line.startsWith('VERSION:'))).toEqual(['VERSION:2.0']);
    expect(lines.filter((line) => line.startsWith('PRODID:'))).toEqual(['PRODID:-//Waymeet//Waymeet//EN']);
    expect(lines).toContain('UID:walk-1@walks.example');
    expect(lines).toContain('DTSTAMP:20261125T120000Z');
    expect(lines).toContain('DTSTART:20261128T134500Z');
    expect(lines).toContain('DTEND:20261128T175400Z');
  });

  it('properties of an event stand before its alarm, and the alarm is whole', () => {
    const lines = contentLines(calendarInvitation(WALK, ANA));
    expect(lines.slice(lines.indexOf('BEGIN:VALARM'))).toEqual([
      'BEGIN:VALARM',
      'ACTION:DISPLAY',
      'DESCRIPTION:8-mile walk: Quarry Lakes loop\\, Lantern Hills',
      'TRIGGER:-PT2H',
      'END:VALARM',
      'END:VEVENT',
      'END:VCALENDAR',
    ]);
  });

  it.each([
    ['plain words', 'a long walk by the water '.repeat(20)],
    ['Thai, three octets a letter', 'เดินเล่นริมแม่น้ำ'.repeat(20)],
    ['emoji of four octets', '🥾'.repeat(100)],
    ['a family joined from seven characters', '👩‍👩‍👧‍👦'.repeat(30)],
    ['marks to escape', ',;\\'.repeat(60)],
    ['one octet, then two at each fold', `x${'é'.repeat(150)}`],
  ])('%s: lines of at most 75 octets, cut between characters, whole when read', (_, text) => {
    const walk = { ...WALK, title: text.trim(), place: text.trim(), description: text.trim() };
    const sent = calendarInvitation(walk, { ...ANA, name: text });
    for (const line of sentLines(sent)) {
      const octets = Buffer.from(line);
      expect(octets.length).toBeLessThanOrEqual(75);
      expect(new TextDecoder('utf-8', { fatal: true }).decode(octets)).toBe(line);
    }
    const { value } = read(sent);
    expect([value('summary'), value('location'), value('description')]).toEqual([text.trim(), text.trim(), text.trim()]);
  });

  it.each([74, 75, 76])('a line of %i octets is folded only when it is longer than 75', (octets) => {
    const title = 'a'.repeat(octets - 'SUMMARY:'.length);
    const lines = sentLines(calendarFile([{ ...WALK, title }], 'Walks'));
    expect(lines.includes(`SUMMARY:${title}`)).toBe(octets <= 75);
  });

  it('ends every line with CRLF, the last one too', () => {
    const sent = calendarInvitation(WALK, ANA);
    expect(sent.endsWith('END:VCALENDAR\r\n')).toBe(true);
    expect(sent.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
  });

  it('writes a position as degrees with a point, never as 1e-7', () => {
    const geo = (lat: number, lon: number) =>
      contentLines(calendarFile([{ ...WALK, lat, lon }], 'Walks')).find((line) => line.startsWith('GEO:'));
    expect(geo(41.3, -85.1)).toBe('GEO:41.3;-85.1');
    expect(geo(0.0000001, -0.00000049)).toBe('GEO:0;0');
    expect(geo(51.123456789, 0.1)).toBe('GEO:51.123457;0.1');
  });
});
