import { describe, expect, it } from 'vitest';
import { monthsFrom } from '../../server/calc/month.js';
import { changesSince } from '../../server/coverage/changes.js';
import type { AreaCoverage } from '../../server/coverage/coverage.js';
import { type CountedWalk, cover, placer } from '../../server/coverage/covered.js';
import { dayFor, gapsOf } from '../../server/coverage/gaps.js';
import { type AreaWants, needsOf } from '../../server/coverage/needs-of.js';
import { byUrgency, urgency } from '../../server/coverage/urgency.js';
import { AREA, needsIn, PLAN, walk } from './area.js';

/** An area's coverage from January 2027 on. */
function coverage(today: string, walks: CountedWalk[] = [], area: Partial<AreaWants> = {}): AreaCoverage {
  const months = monthsFrom('2027-01', 7);
  const wants = { ...AREA, ...area };
  const needs = needsOf(wants, PLAN, { from: '2027-01', to: '2027-07', months });
  const named = { ...wants, slug: `area-${wants.id}`, name: `Area ${wants.id}`, zone: 'America/New_York', leaders: 0 };
  return { area: named, today, ...cover(needs, walks, placer(PLAN)) };
}

describe('the day that a walk is asked for', () => {
  const april = needsIn('2027-04', 1);
  const [weekday, saturday] = ['3 2027-04-05 1 0', '3 2027-04-05 2 0'].map((id) => april.find((need) => need.id === id));
  it.each([
    ['2027-04-05', '2027-04-06'],
    ['2027-04-06', '2027-04-07'],
    ['2027-04-08', '2027-04-09'],
    ['2027-04-09', null],
  ])('on %s, of a weekday: the suggested one, or the next that is left (%s)', (today, day) => {
    expect(weekday && dayFor(weekday, today)).toBe(day);
  });

  it.each([
    ['2027-04-09', '2027-04-10'],
    ['2027-04-10', null],
  ])('on %s, of a Saturday: %s', (today, day) => {
    expect(saturday && dayFor(saturday, today)).toBe(day);
  });

  it.each([
    ['2026-11-30', ['2026-12-05', '2026-12-12']],
    ['2026-12-12', ['2026-12-19', '2026-12-26']],
    ['2026-12-26', ['2026-12-27', '2026-12-28']],
    ['2026-12-31', [null, null]],
  ])('on %s, of the floor: the Saturdays in turn, and other days where none is left', (today, days) => {
    expect(needsIn('2026-12', 1).map((need) => dayFor(need, today))).toEqual(days);
  });

  it.each([
    [['2026-12-12'], '2026-12-05'],
    [['2026-12-05'], '2026-12-12'],
    [['2026-12-05', '2026-12-12', '2026-12-19'], '2026-12-26'],
    [['2026-12-05', '2026-12-12', '2026-12-19', '2026-12-26'], '2026-12-12'],
  ])('with walks on %j, of the second of the floor: the first Saturday without one, while there is any', (walked, day) => {
    const second = needsIn('2026-12', 1)[1];
    expect(second && dayFor(second, '2026-11-30', new Set(walked))).toBe(day);
  });

  it('has no gap on the Saturday of a walk that meets another need of the floor', () => {
    const [first, second] = needsIn('2026-12', 1);
    const walk = { id: 1, date: '2026-12-12', month: '2026-12', metres: 5000 };
    const covered = [first, second].flatMap((need, index) => (need ? [{ need, walk: index === 0 ? walk : null }] : []));
    expect(gapsOf({ ...coverage('2026-11-30'), covered, spare: [] }).map(({ date }) => date)).toEqual(['2026-12-05']);
  });
});

describe('urgency', () => {
  const quiet = { weeksLeft: 12, unmetShare: 0, walkerShare: 0 };
  it.each([
    [{ weeksLeft: 0 }, 50],
    [{ weeksLeft: 1 }, 46],
    [{ weeksLeft: 11 }, 4],
    [{ weeksLeft: 12 }, 0],
    [{ weeksLeft: 40 }, 0],
    [{ unmetShare: 0.5 }, 15],
    [{ unmetShare: 1 }, 30],
    [{ walkerShare: 1 }, 20],
    [{ weeksLeft: 0, unmetShare: 1, walkerShare: 1 }, 100],
  ])('of %o is %i', (pressure, score) => {
    expect(urgency({ ...quiet, ...pressure })).toBe(score);
  });

  it('counts whole weeks until the day', () => {
    const weeksOn = (today: string) => byUrgency([coverage(today)], new Map()).find(({ date }) => date === '2027-04-10')?.weeksLeft;
    expect([weeksOn('2027-03-27'), weeksOn('2027-03-28')]).toEqual([2, 1]);
  });

  it('puts the soonest first, and of two areas the one where more walk', () => {
    const found = byUrgency(
      [coverage('2027-03-01', [], { id: 3 }), coverage('2027-03-01', [], { id: 4 })],
      new Map([
        [4, 40],
        [3, 10],
      ]),
    );
    expect(found[0]?.area.id).toBe(4);
    const [first, other] = ['4', '3'].map((id) => found.filter((gap) => gap.area.id === Number(id)));
    expect([first?.[0]?.score, other?.[0]?.score]).toEqual([100, 85]);
    const scores = found.map(({ score }) => score);
    expect(scores).toEqual(scores.toSorted((a, b) => b - a));
  });

  it('counts an area whose walks are posted as less urgent, and what passed not at all', () => {
    // Those of January and February are over, and met nothing that is still to come.
    const over = ['2027-01-02', '2027-01-09', '2027-02-06', '2027-02-13', '2027-02-27'].map((date, index) => walk(index + 3, date, 9.5));
    const posted = [...over, walk(1, '2027-03-13', 10.5), walk(2, '2027-03-20', 8)];
    const [one] = byUrgency([coverage('2027-03-08', posted)], new Map());
    const gaps = gapsOf(coverage('2027-03-08', posted));
    expect(one?.score).toBe(Math.round(50 + (30 * gaps.length) / (gaps.length + 2)));
    expect(gaps.every(({ date }) => date > '2027-03-08')).toBe(true);
  });
});

describe('what changed since the board was seen', () => {
  const seenOn = (today: string, walks: CountedWalk[] = []) => ({
    seenAt: 1,
    untilMonth: '2027-06',
    gaps: gapsOf(coverage(today, walks)).map(({ need }) => need.id),
  });
  const changes = (seen: ReturnType<typeof seenOn>, now: AreaCoverage, from = '2027-01') => changesSince(seen, [now], gapsOf(now), from);

  it('is nothing where nothing did', () => {
    expect(changes(seenOn('2027-01-02'), coverage('2027-01-02'))).toEqual({ opened: [], closed: [], passed: 0, dropped: 0 });
  });

  it('is a gap that a walk meets now, and one that opened again', () => {
    const posted = [walk(1, '2027-03-13', 10.5)];
    const found = changes(seenOn('2027-01-02'), coverage('2027-01-02', posted));
    expect(found.closed.map((one) => [one.need.id, one.walk.id])).toEqual([['3 2027-03-08 2 0', 1]]);
    expect(changes(seenOn('2027-01-02', posted), coverage('2027-01-02')).opened.map(({ need }) => need.id)).toEqual(['3 2027-03-08 2 0']);
  });

  it('is what passed without a walk, in this month and in those that are shown no more', () => {
    expect(changes(seenOn('2027-01-02'), coverage('2027-03-13'))).toMatchObject({ passed: 10, dropped: 0, opened: [], closed: [] });
    const march = coverage('2027-03-13');
    const shown = { ...march, covered: march.covered.filter(({ need }) => need.month >= '2027-03') };
    expect(changes(seenOn('2027-01-02'), shown, '2027-03')).toMatchObject({ passed: 10, dropped: 0 });
  });

  it('is what the area wants no more, or more than before', () => {
    const fewer = { wants: { weekday: 1, saturday: 1, sunday: 0 } };
    expect(changes(seenOn('2027-01-02'), coverage('2027-01-02', [], fewer))).toMatchObject({ dropped: 9, passed: 0, opened: [] });
    const more = { wants: { weekday: 2, saturday: 1, sunday: 1 } };
    expect(changes(seenOn('2027-01-02'), coverage('2027-01-02', [], more)).opened).toHaveLength(16);
  });

  it('is nothing of a month that was not looked at', () => {
    const seen = { ...seenOn('2027-01-02'), untilMonth: '2027-03' };
    seen.gaps = seen.gaps.filter((id) => id < '3 2027-04');
    expect(changes(seen, coverage('2027-01-02')).opened.filter(({ need }) => need.month > '2027-03')).toEqual([]);
  });
});
