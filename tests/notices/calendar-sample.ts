import ICAL from 'ical.js';
import type { CalendarWalk } from '../../server/notices/calendar.js';

export const WALK: CalendarWalk = {
  uid: 'walk-1@walks.example',
  sequence: 3,
  stamp: Date.UTC(2026, 10, 25, 12),
  start: Date.UTC(2026, 10, 28, 13, 45),
  end: Date.UTC(2026, 10, 28, 17, 54),
  title: '8-mile walk: Quarry Lakes loop, Lantern Hills',
  place: 'Weir car park, by the green ticket machine',
  lat: 41.3,
  lon: -85.1,
  description: 'Bring water; wear a hat.\nLeader: Lena Marsh',
  url: 'https://walks.example/walks/1',
  cancelled: false,
  organizer: { name: 'Harrow Fells Walkers', email: 'walks@walkers.example' },
};
export const ANA = { name: 'Ana Ferreira', email: 'ana@walkers.example' };

/** A calendar as another parser understands it. */
export function read(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const [first] = calendar.getAllSubcomponents('vevent');
  return {
    calendar,
    events: calendar.getAllSubcomponents('vevent'),
    /** One property of the first event. */
    value: (name: string) => first?.getFirstPropertyValue(name) ?? null,
    all: (name: string) => first?.getAllProperties(name).map((one) => one.getFirstValue()) ?? [],
    parameter: (name: string, parameter: string) => first?.getFirstProperty(name)?.getFirstParameter(parameter) ?? null,
    alarms: first?.getAllSubcomponents('valarm') ?? [],
  };
}

/** The lines as they are sent, still folded. */
export function sentLines(text: string): string[] {
  return text.split('\r\n');
}

/** The lines with their folds undone (RFC 5545, 3.1). */
export function contentLines(text: string): string[] {
  return text.replaceAll('\r\n ', '').split('\r\n').slice(0, -1);
}
