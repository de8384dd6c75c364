import { describe, expect, it } from 'vitest';
import { differences } from '../../server/notices/difference.js';
import { groupSettings } from '../../server/settings/rules.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { walkFacts } from '../support/cast.js';

const settings = groupSettings.parse({});

function changed(change: Partial<WalkFacts>, names: 'always' | 'all' = 'always', before = walkFacts()) {
  return differences(before, walkFacts(change), names, settings).map((row) => [row.label, row.before, row.after].map(plain));
}

const plain = (text: string) => text.replaceAll('\u00a0', ' ').replaceAll('\u202f', ' ');

describe('the difference in words', () => {
  it('is none where nothing changed', () => {
    expect(changed({}, 'all')).toEqual([]);
  });
  it('gives weekday, date, clock and zone of each time', () => {
    expect(changed({ date: '2026-12-06', gather: '08:15' })).toEqual([
      ['Gather', 'Sat, Dec 5, 2026, 8:45 AM EST', 'Sun, Dec 6, 2026, 8:15 AM EST'],
      ['Set off', 'Sat, Dec 5, 2026, 9:00 AM EST', 'Sun, Dec 6, 2026, 9:00 AM EST'],
    ]);
    expect(changed({ setOff: '09:30' })).toEqual([['Set off', 'Sat, Dec 5, 2026, 9:00 AM EST', 'Sat, Dec 5, 2026, 9:30 AM EST']]);
  });
  it('shows a zone that moves the instant, and one that moves nothing', () => {
    expect(changed({ zone: 'America/Chicago' })[0]).toEqual(['Gather', 'Sat, Dec 5, 2026, 8:45 AM EST', 'Sat, Dec 5, 2026, 8:45 AM CST']);
    expect(changed({ zone: 'America/Detroit' })).toEqual([['Time zone', 'America/New_York', 'America/Detroit']]);
  });
  it('shows which of a doubled hour is meant', () => {
    const night = { date: '2026-11-01', gather: '01:30', setOff: '03:00' };
    const first = walkFacts({ ...night, doubledOffset: -240, gatherAt: Date.UTC(2026, 10, 1, 5, 30) });
    expect(changed({ ...night, doubledOffset: -300, gatherAt: Date.UTC(2026, 10, 1, 6, 30) }, 'always', first)).toEqual([
      ['Gather', 'Sun, Nov 1, 2026, 1:30 AM EDT', 'Sun, Nov 1, 2026, 1:30 AM EST'],
    ]);
  });
  it('keeps the wall time, and shows the instants, where a government moved the clock', () => {
    const before = walkFacts();
    expect(changed({ gatherAt: before.gatherAt + 3_600_000 })).toEqual([
      ['Gather', 'Sat, Dec 5, 2026, 8:45 AM EST (13:45 UTC)', 'Sat, Dec 5, 2026, 8:45 AM EST (14:45 UTC)'],
    ]);
  });
  it('gives each part of the meeting point a row', () => {
    expect(changed({ meetingPoint: 'North gate', landmark: '', lat: 41.30001, lon: -85.1 })).toEqual([
      ['Meeting point', 'Weir car park', 'North gate'],
      ['Landmark', 'by the green ticket machine', 'not said'],
      ['Map point', '41.30000, -85.10000', '41.30001, -85.10000'],
    ]);
  });
  it('leaves out what need not be told, unless asked', () => {
    expect(changed({ surfaces: ['sand'], stepFree: true, dogs: false, minors: true, bring: '', ascentMetres: 305 })).toEqual([]);
    expect(changed({ surfaces: ['sand'], stepFree: true, dogs: false, minors: true, bring: '', ascentMetres: 305 }, 'all')).toEqual([
      ['Climb', '520 ft', '1,001 ft'],
      ['Underfoot', 'pavement', 'sand'],
      ['Step-free', 'no', 'yes'],
      ['Dogs', 'yes, on a lead, at the back', 'no'],
      ['Under-18s', 'no', 'yes'],
      ['What to bring', 'Water', 'not said'],
    ]);
  });
  it('tells a length only where it changed by more than a tenth', () => {
    const before = walkFacts({ distanceMetres: 10_000 });
    expect(changed({ distanceMetres: 11_000 }, 'all', before)).toEqual([]);
    expect(changed({ distanceMetres: 11_001 }, 'all', before)).toEqual([['Length', '6.2 mi', '6.8 mi']]);
    expect(changed({ distanceMetres: 8_999 }, 'all', before)).toEqual([['Length', '6.2 mi', '5.6 mi']]);
    expect(changed({ distanceMetres: 11_001 }, 'always', before)).toEqual([]);
  });
  it('follows the group: kilometres and the 24-hour clock', () => {
    const european = { ...settings, units: 'km' as const, clock: 24 as const, locale: 'en-GB' };
    const rows = differences(walkFacts(), walkFacts({ gather: '18:45', distanceMetres: 20_000 }), 'all', european);
    expect(rows.map((row) => plain(row.after))).toEqual(['Sat, 5 Dec 2026, 18:45 EST', '20.0 km']);
  });
});
