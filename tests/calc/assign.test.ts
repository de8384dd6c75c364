import { describe, expect, it } from 'vitest';
import { candidate, eligible, mostInMonth } from '../../server/calc/assign.js';
import { DEGREE_METRES, gap, leader, march, NEXT_SATURDAY, RULES, SATURDAY, SUNDAY } from './assign-around.js';

describe('who could lead a gap', () => {
  const why = (more: Parameters<typeof leader>[1], of: Parameters<typeof gap>[1] = {}, rules = {}) =>
    eligible(leader(1, more), gap(1, of), { ...RULES, ...rules });

  it('is a leader of the area, or one who goes there', () => {
    expect([why({}), why({}, { areaId: 2 }), why({ areaIds: [3, 2] }, { areaId: 2 })]).toEqual([null, 'area', null]);
  });

  it('within the farthest that the group asks for', () => {
    const away = { lat: 0.1 };
    const metres = 11_057;
    expect(candidate(leader(1), gap(1, away), RULES)).toMatchObject({ metresAway: Math.round(DEGREE_METRES / 10) });
    expect([metres, metres - 1].map((farthestMetres) => why({}, away, { farthestMetres }))).toEqual([null, 'far']);
  });

  it('whose lengths it is one of, the shortest and the longest among them', () => {
    const lengths = { shortestMetres: 8000, longestMetres: 12_000 };
    expect([8000, 12_000, 7999, 12_001].map((metres) => why(lengths, { metres }))).toEqual([null, null, 'length', 'length']);
    expect(why({ shortestMetres: 10_001 })).toBe('length');
    expect(why({ longestMetres: 9999 })).toBe('length');
  });

  it('who can do one of its days', () => {
    expect([why({ days: [6] }), why({ days: [7] }), why({ days: [7] }, { dates: [SATURDAY, SUNDAY] })]).toEqual([null, 'day', null]);
  });

  it('in a month for which they may be asked', () => {
    expect([why({ months: {} }), why({ months: { '2027-04': { pledged: 1, left: 1 } } })]).toEqual(['excused', 'excused']);
  });

  it('who does not lead that day, nor, with rest, that weekend', () => {
    expect(why({ busyDates: [SATURDAY] })).toBe('busy');
    expect(why({ busyDates: [SUNDAY] })).toBe('weekend');
    expect(why({ busyDates: [SUNDAY] }, {}, { oneAWeekend: false })).toBeNull();
    expect(why({ busyDates: ['2027-03-12', NEXT_SATURDAY, '2027-03-15'] })).toBeNull();
  });

  it('with something left of the pledge, or what may be asked beyond it', () => {
    expect([0, -1].map((left) => why({ months: march(left) }))).toEqual([null, 'pledge']);
    expect([1, 0].map((left) => why({ months: march(left) }, {}, { overPledge: 0 }))).toEqual([null, 'pledge']);
    expect(mostInMonth(leader(1, { months: march(-3) }), '2027-03', RULES)).toBe(0);
  });

  it('on the days that count for one month, the first in which they may be asked', () => {
    const dates = ['2027-04-02', '2027-03-31', '2027-04-01', '2027-03-30'];
    const both = { months: { ...march(1), '2027-04': { pledged: 1, left: 1 } } };
    expect(candidate(leader(1, both), gap(1, { dates }), RULES)).toMatchObject({ month: '2027-03', dates: ['2027-03-30', '2027-03-31'] });
    const april = { months: { ...march(-1), '2027-04': { pledged: 1, left: 1 } } };
    expect(candidate(leader(1, april), gap(1, { dates }), RULES)).toMatchObject({ month: '2027-04', dates: ['2027-04-01', '2027-04-02'] });
  });

  it('is said of dates only', () => {
    expect(() => why({}, { dates: ['2027-03-99'] })).toThrow('no such date: 2027-03-99');
  });
});
