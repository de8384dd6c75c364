import { describe, expect, it } from 'vitest';
import type { LeaderMonth } from '../../server/commitment/rules.js';
import type { UrgentGap } from '../../server/coverage/urgency.js';
import { assignInput, assignRules, type LeaderRecord } from '../../server/proposals/input.js';
import type { Asked } from '../../server/proposals/rules.js';
import { AREA, needsIn } from '../coverage/area.js';

const RULES = { overPledge: 1, oneAWeekend: true, farthestMetres: 60_000 };
const CENTRES = new Map([[3, { lat: 41, lon: -85 }]]);
const area = { ...AREA, slug: 'a', name: 'A', zone: 'UTC', leaders: 1 };

function gap(id: string, date: string, today = '2027-01-04'): UrgentGap {
  const need = needsIn('2027-01', 6).find((one) => one.id === id);
  if (!need) throw new Error(id);
  return { need, area, date, today, weeksLeft: 3, score: 40 };
}

const month = (name: string, changed: Partial<LeaderMonth> = {}) =>
  ({ month: name, pledge: 3, kept: 1, coming: 1, state: 'on course', short: 0, isOver: false, isFirst: false, ...changed }) as LeaderMonth;

function record(changed: Partial<LeaderRecord> = {}): LeaderRecord {
  const about = { id: 11, name: 'Bette', phone: null, areaId: 3, areaName: 'A', lat: 41, lon: -85, days: [6, 7], otherAreas: [4] };
  return {
    leader: { ...about, shortestMetres: null, longestMetres: 20_000 },
    months: [month('2027-04')],
    soFar: [],
    led: [],
    open: [],
    declined: [],
    ...changed,
  };
}

const ask = (need: string, date: string): Asked => ({
  id: 1,
  toPersonId: 11,
  approved: true,
  need,
  areaId: 3,
  week: '',
  month: date.slice(0, 7),
  dayKind: 'saturday',
  date,
  state: 'open',
  askedAt: 0,
});

const SATURDAY = gap('3 2027-04-05 2 0', '2027-04-10');
const leaderOf = (changed: Partial<LeaderRecord>, gaps = [SATURDAY]) => assignInput(gaps, [record(changed)], CENTRES, RULES).leaders[0];

describe('a gap', () => {
  it('is of its planned length to the metre, on its own days after today, and weighs as it is urgent', () => {
    const { gaps } = assignInput([gap('3 2027-04-05 1 0', '2027-04-07', '2027-04-06')], [], CENTRES, RULES);
    const dates = ['2027-04-07', '2027-04-08', '2027-04-09'];
    expect(gaps).toEqual([{ id: '3 2027-04-05 1 0', areaId: 3, lat: 41, lon: -85, dates, metres: 7242, weight: 41 }]);
  });

  it('of the floor is of any length, in the week of its day', () => {
    const [one] = assignInput([gap('3 2027-01 0 00', '2027-01-09', '2027-01-06')], [], CENTRES, RULES).gaps;
    expect(one).toMatchObject({ metres: null, dates: ['2027-01-07', '2027-01-08', '2027-01-09', '2027-01-10'] });
  });
});

describe('a leader', () => {
  it('has left what is promised less what is posted and what they are asked already', () => {
    expect(leaderOf({})?.months).toEqual({ '2027-04': { pledged: 3, left: 1 } });
    expect(leaderOf({ open: [ask('x', '2027-04-17')] })?.months).toEqual({ '2027-04': { pledged: 3, left: 0 } });
    expect(leaderOf({ open: [ask('x', '2027-05-01')] })?.months).toEqual({ '2027-04': { pledged: 3, left: 1 } });
  });

  it('is asked for nothing in a month they are excused from, or lead in no more', () => {
    expect(
      leaderOf({ months: [month('2027-04', { state: 'excused' }), month('2027-05', { pledge: null, state: 'none' })] })?.months,
    ).toEqual({});
  });

  it('is not free on the days they lead, or are asked for', () => {
    expect(leaderOf({ led: ['2027-04-24', '2027-04-03'], open: [ask('x', '2027-04-17'), ask('y', '2027-04-24')] })?.busyDates).toEqual([
      '2027-04-03',
      '2027-04-17',
      '2027-04-24',
    ]);
  });

  it('is not asked again for what they said no to, nor for that weekend', () => {
    const sunday = gap('3 2027-04-05 3 0', '2027-04-11');
    const next = gap('3 2027-04-12 2 0', '2027-04-17');
    expect(leaderOf({ declined: [ask('gone', '2027-04-10')] }, [SATURDAY, sunday, next])?.notFor).toEqual([
      SATURDAY.need.id,
      sunday.need.id,
    ]);
  });

  it('who has said no days is asked for any', () => {
    const about = record().leader;
    expect(leaderOf({ leader: { ...about, days: [] } })?.days).toEqual([1, 2, 3, 4, 5, 6, 7]);
  });

  it('counts for the season what was kept, against what was promised in the months not excused', () => {
    const soFar = [month('2027-02', { kept: 2 }), month('2027-03', { kept: 1, state: 'excused' })];
    expect(leaderOf({ soFar })).toMatchObject({ ledThisSeason: 3, pledgedThisSeason: 3 });
  });
});

it('a farthest of 0 is any distance', () => {
  expect(assignRules({ ...RULES, farthestMetres: 0 }).farthestMetres).toBeNull();
  expect(assignRules(RULES).farthestMetres).toBe(60_000);
});
