import { describe, expect, it } from 'vitest';
import { checkAssignment } from '../../server/calc/assign-check.js';
import type { Pair } from '../../server/calc/assign-model.js';
import { gap, input, leader, march, NEXT_SATURDAY, SATURDAY, SUNDAY } from './assign-around.js';

const pair = (leaderId: number, gapId: number, date = SATURDAY): Pair => ({ leaderId, gapId, date });

describe('checking pairs anew', () => {
  const faults = (of: Parameters<typeof leader>[1], what: Parameters<typeof gap>[1] = {}, rules = {}) =>
    checkAssignment(input([leader(1, of)], [gap(1, what)], rules), [pair(1, 1)]).faults.map((fault) => fault.split(': ')[1]);

  it('finds what breaks a rule of a pair', () => {
    expect(faults({})).toEqual([]);
    expect(faults({ homeAreaId: 2 })).toEqual(['does not go there']);
    expect(faults({ lat: 1 }, {}, { farthestMetres: 100_000 })).toEqual(['too far']);
    expect(faults({ shortestMetres: 10_001 })).toEqual(['too short']);
    expect(faults({ longestMetres: 9999 })).toEqual(['too long']);
    expect(faults({}, { dates: [SUNDAY] })).toEqual(['not a date of the gap']);
    expect(faults({ days: [7] })).toEqual(['not a day of the leader']);
    expect(faults({ busyDates: [SATURDAY] })).toEqual(['leads already that day', 'leads already that weekend']);
    expect(faults({ busyDates: [SUNDAY] })).toEqual(['leads already that weekend']);
    expect(faults({ busyDates: [SUNDAY] }, {}, { oneAWeekend: false })).toEqual([]);
    expect(faults({ months: march(-1) })).toEqual(['1 walks in 2027-03, -1 left']);
    expect(faults({ months: {} })).toContain('a month nobody may ask for');
  });

  it('finds what breaks a rule between pairs', () => {
    const gaps = [gap(1), gap(2), gap(3, { dates: [SUNDAY] }), gap(4, { dates: [NEXT_SATURDAY] })];
    const found = (pairs: Pair[], rules = {}) => checkAssignment(input([leader(1), leader(2)], gaps, rules), pairs).faults;
    expect(found([pair(1, 1), pair(2, 1)])).toEqual(['gap 1 has 2 leaders']);
    expect(found([pair(1, 1), pair(1, 2)], { oneAWeekend: false })).toEqual(['leader 1: 2 walks on 2027-03-13']);
    expect(found([pair(1, 1), pair(1, 3, SUNDAY)])).toEqual(['leader 1: 2 walks on the weekend of 2027-03-13']);
    expect(found([pair(1, 1), pair(1, 4, NEXT_SATURDAY)], { overPledge: -1 })).toEqual(['leader 1: 2 walks in 2027-03, 2 left']);
    expect(found([pair(3, 1), pair(1, 9)])).toEqual(['leader 3 or gap 1 is unknown', 'leader 1 or gap 9 is unknown']);
  });

  it('adds up each level', () => {
    const leaders = [leader(1, { ledThisSeason: 7, lat: 0.1 }), leader(2, { shortestMetres: 8000, longestMetres: 12_200 })];
    const gaps = [gap(1, { weight: 3 }), gap(2, { dates: [NEXT_SATURDAY], weight: 5 }), gap(3, { weight: 7 })];
    const { objective } = checkAssignment(input(leaders, gaps), [pair(1, 1), pair(2, 3), pair(1, 2, NEXT_SATURDAY)]);
    // Leader 1 takes two of two left, 3 ahead before; leader 2 one of two. 11,057 m twice; 100 m from the middle.
    expect(objective).toEqual({
      missed: 0,
      pledges: 2 ** 2 - 2 * 2 * 2 + (1 - 2 * 2),
      season: 2 ** 2 + 2 * 2 * 3 + 1,
      way: 222,
      length: 1,
    });
    expect(checkAssignment(input(leaders, gaps), []).objective).toEqual({ missed: 15, pledges: 0, season: 0, way: 0, length: 0 });
  });
});
