import { describe, expect, it } from 'vitest';
import type { AreaCoverage } from '../../server/coverage/coverage.js';
import { cover, placer } from '../../server/coverage/covered.js';
import { type Asked, type PostedBy, speaksFor, standings } from '../../server/proposals/rules.js';
import { AREA, needsIn, PLAN, walk } from '../coverage/area.js';

const SATURDAY = '2027-04-10';
const NEED = '3 2027-04-05 2 0';
const BETTE = 11;
const TOM = 12;

const ASK: Asked = {
  id: 1,
  toPersonId: BETTE,
  approved: true,
  need: NEED,
  areaId: 3,
  week: '2027-04-05',
  month: '2027-04',
  dayKind: 'saturday',
  date: SATURDAY,
  state: 'open',
  askedAt: 1000,
};

/** April of the area, with the walks there are, on a day. */
function april(walks: ReturnType<typeof walk>[], today = '2027-03-30', needs = needsIn('2027-04', 1)): AreaCoverage[] {
  return [{ area: { ...AREA, slug: 'a', name: 'A', zone: 'UTC', leaders: 2 }, today, ...cover(needs, walks, placer(PLAN)) }];
}

const by = (...rows: [id: number, leader: number, postedAt: number][]) =>
  new Map(rows.map(([id, leader, postedAt]): [number, PostedBy] => [id, { leaders: [leader], postedAt }]));

function standing(changed: Partial<Asked>, coverage: AreaCoverage[], posted = by()): string {
  return standings([{ ...ASK, ...changed }], coverage, posted).get(1)?.standing ?? '';
}

describe('an ask stands', () => {
  const own = [walk(7, SATURDAY, 13.5)];
  it.each([
    ['open while nobody leads it', 'open', {}, april([]), by()],
    ['not this time, once that was said', 'not this time', { state: 'not this time' as const }, april([]), by()],
    ['ended, once it was taken back', 'ended', { state: 'ended' as const }, april([]), by()],
    ['ended, where the leader leads no more', 'ended', { approved: false }, april([]), by()],
    ['posted, by a walk of theirs since', 'posted', {}, april(own), by([7, BETTE, 1000])],
    ['posted, whatever they had said before', 'posted', { state: 'not this time' as const }, april(own), by([7, BETTE, 1001])],
    ['met, by a walk of theirs from before', 'met', {}, april(own), by([7, BETTE, 999])],
    ['met, by a walk of another', 'met', {}, april(own), by([7, TOM, 2000])],
    ['open beside a walk that is too short for it', 'open', {}, april([walk(7, SATURDAY, 9)]), by([7, BETTE, 2000])],
    ['open on the day before', 'open', {}, april([], '2027-04-09'), by()],
    ['past on the day itself', 'past', {}, april([], SATURDAY), by()],
    ['dropped, where the area wants it no more', 'dropped', {}, april([], '2027-03-30', []), by()],
    ['past, where it was wanted no more, and its day is over', 'past', {}, april([], SATURDAY, []), by()],
  ])('%s', (_, expected, changed, coverage, posted) => {
    expect(standing(changed, coverage, posted)).toBe(expected);
  });

  it('posted by a walk for whichever of two needs that are alike', () => {
    const needs = needsIn('2027-04', 1, { wants: { weekday: 0, saturday: 2, sunday: 0 } });
    const second = { ...ASK, need: '3 2027-04-05 2 1' };
    const coverage = april([walk(7, SATURDAY, 13.5)], '2027-03-30', needs);
    expect(coverage[0]?.covered.find((one) => one.walk)?.need.id).toBe(NEED);
    expect(standings([second], coverage, by([7, BETTE, 2000])).get(1)).toEqual({ standing: 'posted', walkId: 7, wanted: null });
  });

  it('posted once for one walk: of two asks alike the second stays open', () => {
    const needs = needsIn('2027-04', 1, { wants: { weekday: 0, saturday: 2, sunday: 0 } });
    const both = [ASK, { ...ASK, id: 2, need: '3 2027-04-05 2 1' }];
    const found = standings(both, april([walk(7, SATURDAY, 13.5)], '2027-03-30', needs), by([7, BETTE, 2000]));
    expect([...found.values()].map((one) => one.standing)).toEqual(['posted', 'open']);
  });

  const SECOND = '3 2027-04-05 2 1';
  const two = needsIn('2027-04', 1, { wants: { weekday: 0, saturday: 2, sunday: 0 } });
  const wantedNow = (asks: Asked[], coverage: AreaCoverage[], posted = by()) =>
    [...standings(asks, coverage, posted).values()].map((one) => [one.standing, one.wanted?.need.id ?? null]);

  it('open for the other of two needs alike, where the walk of whoever was asked for that was given to its own', () => {
    const asked = [ASK, { ...ASK, id: 2, toPersonId: TOM, need: SECOND }];
    const coverage = april([walk(7, SATURDAY, 13.5)], '2027-03-30', two);
    expect(wantedNow(asked, coverage, by([7, TOM, 2000]))).toEqual([
      ['open', SECOND],
      ['posted', null],
    ]);
    const third = { ...ASK, id: 3, need: SECOND };
    expect(wantedNow([ASK, third], coverage, by([7, TOM, 2000]))).toEqual([
      ['met', null],
      ['open', SECOND],
    ]);
  });

  it('met by a walk of another, where the other need of its days is of another length', () => {
    const needs = two.map((need) => (need.id === SECOND ? { ...need, bestMetres: need.bestMetres - 1 } : need));
    const coverage = april([walk(7, SATURDAY, 13.5)], '2027-03-30', needs);
    const [met] = coverage[0]?.covered.filter((one) => one.walk) ?? [];
    expect(wantedNow([{ ...ASK, need: met?.need.id ?? '' }], coverage, by([7, TOM, 2000]))).toEqual([['met', null]]);
  });

  it('posted by a walk since, where it was taken back before and asked again', () => {
    const again = { ...ASK, id: 2 };
    expect(wantedNow([{ ...ASK, state: 'ended' }, again], april(own), by([7, BETTE, 2000]))).toEqual([
      ['ended', null],
      ['posted', null],
    ]);
  });

  it('open for the next day of its month, once the one that was asked for is over', () => {
    const ask = { ...ASK, need: '3 2027-01 0 00', week: '', month: '2027-01', dayKind: 'any', date: '2027-01-09' };
    const on = (today: string) => standings([ask], april([], today, needsIn('2027-01', 1)), by()).get(1)?.wanted?.date;
    expect([on('2027-01-08'), on('2027-01-09')]).toEqual(['2027-01-09', '2027-01-16']);
  });
});

describe('"not this time" speaks for', () => {
  const said = { need: NEED, areaId: 3, date: SATURDAY };
  it.each([
    ['the very need, whatever its days', { id: NEED, dates: ['2027-05-01'] }, true],
    ['another of the same Saturday', { id: 'x', dates: [SATURDAY] }, true],
    ['one of the Sunday after it', { id: 'x', dates: ['2027-04-11'] }, true],
    ['one that may be on that weekend', { id: 'x', dates: ['2027-04-09', '2027-04-11'] }, true],
    ['none on the Friday before', { id: 'x', dates: ['2027-04-09'] }, false],
    ['none on the Monday after', { id: 'x', dates: ['2027-04-12'] }, false],
    ['none a week later', { id: 'x', dates: ['2027-04-17'] }, false],
  ])('%s', (_, need, expected) => {
    expect(speaksFor(said, { areaId: 4, ...need })).toBe(expected);
  });

  it('the area alone, where it was a weekday: the need, and another that may be on that day', () => {
    const friday = { need: NEED, areaId: 3, date: '2027-04-09' };
    const of = (areaId: number, date: string) => speaksFor(friday, { id: 'x', areaId, dates: [date] });
    expect([of(3, '2027-04-09'), of(4, '2027-04-09'), of(3, '2027-04-08')]).toEqual([true, false, false]);
  });
});
