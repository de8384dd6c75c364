import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seasonPlan } from '../../server/calc/plan.js';
import { withEdits } from '../../server/calc/plan-edits.js';
import { planInForce, seasonInForce, setWeek, type WeekLengths, weeksOfOtherDays } from '../../server/plan/store.js';
import { anyWish, miles } from '../calc/plans.js';
import { NOON } from '../support/app.js';
import { SEASON, seasonSite, WEEK_9 } from './season-site.js';

async function opened() {
  const found = await seasonSite();
  const { site, cast } = found;
  const set = (monday: string, lengths: WeekLengths | null, eventDay: string = SEASON.eventDay) =>
    site.db.write((tx) =>
      setWeek(tx, { eventDay, monday, lengths }, site.services.settings(), { personId: cast.ids.coordinator, now: NOON }),
    );
  const plan = (changed = {}) => planInForce(site.db.q, { ...site.services.settings(), ...changed });
  return { ...found, set, plan };
}

const saturdayOf = (plan: ReturnType<typeof planInForce>, number: number) =>
  plan?.weeks[number - 1]?.walks.find(({ slot }) => slot === 'saturday')?.metres;

describe('the plan in force', () => {
  it.each([
    ['no event is set', { eventDay: '' }],
    ['no length of a day is set', { eventDayMetres: 0 }],
    ['a day is longer than a plan takes', { eventDayMetres: 70_000 }],
    ['the event is in a year that no plan reaches', { eventDay: '0000-01-01' }],
    ['the event is in the last year that dates are written for', { eventDay: '9999-12-31' }],
  ])('is none where %s', async (_, changed) => {
    const { plan } = await opened();
    expect(plan()).not.toBeNull();
    expect(plan(changed)).toBeNull();
  });

  it('is worked out from the settings where nobody set a week', async () => {
    const { site, plan } = await opened();
    const { eventDay, eventDays, eventDayMetres, seasonWeeks, weekdayWalks, units } = site.services.settings();
    expect(plan()).toEqual(seasonPlan({ eventDay, eventDays, dayMetres: eventDayMetres, weeks: seasonWeeks, weekdayWalks, units }));
    expect(plan()?.weeks[8]?.from).toBe(WEEK_9);
  });

  it('has a week as it was set, and the next as it is worked out', async () => {
    const { set, plan } = await opened();
    set(WEEK_9, { weekday: [5000], saturday: 12_000, sunday: null });
    expect(plan()?.weeks[8]?.walks.map(({ slot, metres }) => [slot, metres])).toEqual([
      ['weekday', 5000],
      ['saturday', 12_000],
    ]);
    expect(saturdayOf(plan(), 10)).toBeCloseTo(miles(15.5));
    set(WEEK_9, null);
    expect(saturdayOf(plan(), 9)).toBeCloseTo(miles(14.5));
  });

  it('finds a week by its Monday, whatever number a longer season gives it', async () => {
    const { set, plan } = await opened();
    set(WEEK_9, { weekday: [], saturday: 12_000, sunday: null });
    const longer = plan({ seasonWeeks: 24 });
    expect(longer?.weeks[16]?.from).toBe(WEEK_9);
    expect(saturdayOf(longer, 17)).toBe(12_000);
  });

  it('leaves out a week that a shorter season does not have, and says which', async () => {
    const { site, set } = await opened();
    set('2026-09-28', { weekday: [], saturday: 12_000, sunday: null });
    set(WEEK_9, { weekday: [], saturday: 13_000, sunday: null });
    const season = seasonInForce(site.db.q, { ...site.services.settings(), seasonWeeks: 15 });
    expect([season?.setByHand, season?.leftOut]).toEqual([[WEEK_9], ['2026-09-28']]);
    expect(saturdayOf(season?.plan ?? null, 8)).toBe(13_000);
    expect(season?.findings.filter(({ kind }) => kind === 'left out')).toEqual([]);
  });

  it('takes no week that was set for another first day of the event; it comes back with that day', async () => {
    const { site, set, plan } = await opened();
    set(WEEK_9, { weekday: [], saturday: 12_000, sunday: null });
    expect(saturdayOf(plan({ eventDay: '2027-01-17' }), 9)).toBeCloseTo(miles(14.5));
    expect(weeksOfOtherDays(site.db.q, '2027-01-17', '2027-01-16')).toBe(1);
    expect(weeksOfOtherDays(site.db.q, '2027-01-17', '2027-01-17')).toBe(0);
    expect(weeksOfOtherDays(site.db.q, SEASON.eventDay, '2026-11-25')).toBe(0);
    expect(saturdayOf(plan(), 9)).toBe(12_000);
  });

  it('writes down each change, and counts it as another version of the plan', async () => {
    const { site, cast, set, log } = await opened();
    expect(site.services.settings().planVersion).toBe(0);
    set(WEEK_9, { weekday: [], saturday: 12_000, sunday: null });
    set(WEEK_9, null);
    const personId = cast.ids.coordinator;
    expect(log(`plan:${WEEK_9}`)).toEqual([
      { personId, action: 'set a week of the season plan' },
      { personId, action: 'let a week of the season plan be worked out again' },
    ]);
    expect(site.services.settings()).toMatchObject({ planVersion: 2, planChangedAt: NOON });
  });
});

it('what is to be thought about is said in figures, however odd the weeks that were set', () => {
  const lengths = fc.constantFrom(0, 1, 805, 8047, 64_374);
  const edit = fc.record({
    week: fc.integer({ min: 1, max: 36 }),
    weekday: fc.array(lengths, { maxLength: 4 }),
    saturday: fc.option(lengths),
    sunday: fc.option(lengths),
  });
  fc.assert(
    fc.property(anyWish, fc.array(edit, { maxLength: 40 }), fc.boolean(), (wish, edits, isEmpty) => {
      const plan = seasonPlan(wish);
      // Often nothing is left but what was set.
      const none = plan.weeks.map(({ number }) => ({ week: number, weekday: [], saturday: null, sunday: null }));
      const { findings } = withEdits(plan, [...(isEmpty ? none : []), ...edits]);
      for (const { words } of findings) expect(words).not.toMatch(/NaN|Infinity|undefined|null/);
    }),
    { numRuns: 300 },
  );
});
