import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toMetres } from '../../server/calc/measure.js';
import { addDays } from '../../server/calc/month.js';
import { seasonPlan } from '../../server/calc/plan.js';
import { bandsOf, slotFor } from '../../server/plan/fits.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { cancelWalk } from '../../server/walks/save.js';
import { anyWish } from '../calc/plans.js';
import { seasonSite, words } from './season-site.js';

const SATURDAY = '2026-11-28';
const FRIDAY = '2026-11-27';
const SUNDAY_NIGHT = { date: '2026-11-29', gather: '23:30', setOff: '23:45' };
const MONDAY_MORNING = { date: '2026-11-30', gather: '00:15', setOff: '00:30' };
const CHICAGO = { areaId: 2, zone: 'America/Chicago' };

/** What a walk's page, the timetable of week 9 and of all weeks, and the feed say of a walk. */
async function said(facts: Partial<WalkFacts>, changed = {}) {
  const found = await seasonSite(changed);
  const id = found.post({ routeName: 'Asked about', ...facts });
  const page = words((await found.nobody.get(`/walks/${id}`)).text);
  const listed = async (query: string) => (await found.nobody.get(`/${query}`)).text.includes('Asked about');
  const feed = JSON.parse((await found.nobody.get('/walks.json')).text) as { walks: { id: number; plan?: unknown }[] };
  return {
    ...found,
    id,
    page: /Suits (week [^)]+\))\./.exec(page)?.[1] ?? null,
    week9: await listed('?week=9'),
    week10: await listed('?week=10'),
    mark: (await found.nobody.get('/')).text.includes('Suits this week of the plan'),
    feed: feed.walks.find((walk) => walk.id === id)?.plan ?? null,
  };
}

describe('a walk suits the plan', () => {
  it.each([
    // 14.5 miles and 15 % of that.
    ['a Saturday at its shortest', SATURDAY, 19_835, 'week 9 of the season plan: the long Saturday (planned 14.5 mi)'],
    ['a Saturday a metre shorter', SATURDAY, 19_834, null],
    // Half a mile more: 110 % of the 13.5 miles before are less.
    ['a Saturday at its longest', SATURDAY, 24_140, 'week 9 of the season plan: the long Saturday (planned 14.5 mi)'],
    ['a Saturday a metre longer', SATURDAY, 24_141, null],
    // 5 miles and a mile, which is more than 15 %.
    ['a weekday at its shortest', FRIDAY, 6438, 'week 9 of the season plan: a weekday walk (planned 5 mi)'],
    ['a weekday a metre shorter', FRIDAY, 6437, null],
    ['a weekday at its longest', FRIDAY, 9656, 'week 9 of the season plan: a weekday walk (planned 5 mi)'],
    ['a weekday a metre longer', FRIDAY, 9657, null],
    ["a weekday's length on a Saturday", SATURDAY, 8047, null],
    ["a Saturday's length on a weekday", FRIDAY, 23_335, null],
    ["a Sunday's on a Sunday", '2026-11-29', toMetres(7, 'mi'), 'week 9 of the season plan: the Sunday walk (planned 7 mi)'],
    ["a Sunday's on a Saturday", SATURDAY, toMetres(7, 'mi'), null],
  ])('%s', async (_, date, distanceMetres, expected) => {
    const { page, week9, week10, mark, feed } = await said({ date, distanceMetres });
    expect(page).toBe(expected);
    expect([week9, mark, feed !== null]).toEqual(expected === null ? [false, false, false] : [true, true, true]);
    expect(week10).toBe(false);
  });

  it.each([
    ['New York', {}],
    ['Chicago', CHICAGO],
  ])('by the date of its own zone: Sunday night and Monday morning in %s', async (_, zone) => {
    const night = await said({ ...SUNDAY_NIGHT, ...zone, distanceMetres: toMetres(7, 'mi') });
    expect([night.page, night.week9, night.week10]).toEqual(['week 9 of the season plan: the Sunday walk (planned 7 mi)', true, false]);
    const morning = await said({ ...MONDAY_MORNING, ...zone, distanceMetres: toMetres(5, 'mi') });
    expect([morning.page, morning.week9, morning.week10]).toEqual([
      'week 10 of the season plan: a weekday walk (planned 5 mi)',
      false,
      true,
    ]);
    expect([night.mark, morning.mark]).toEqual([true, false]);
  });

  it('as the group has it: nearer, or by a length', async () => {
    const near = { slotToleranceShare: 0, slotToleranceMetres: 0 };
    expect((await said({ date: SATURDAY, distanceMetres: 23_335 }, near)).week9).toBe(true);
    expect((await said({ date: SATURDAY, distanceMetres: 23_334 }, near)).week9).toBe(false);
    expect((await said({ date: SATURDAY, distanceMetres: 13_335 }, { ...near, slotToleranceMetres: 10_000 })).week9).toBe(true);
    expect((await said({ date: SATURDAY, distanceMetres: 13_334 }, { ...near, slotToleranceMetres: 10_000 })).week9).toBe(false);
  });

  it('as a coordinator set the week, once it is set', async () => {
    const { coordinator, nobody, id } = await said({ date: SATURDAY, distanceMetres: toMetres(10, 'mi') });
    expect(words((await nobody.get(`/walks/${id}`)).text)).not.toContain('Suits week');
    await coordinator.post('/coordinate/season/2026-11-23', { saturday: '10' });
    expect(words((await nobody.get(`/walks/${id}`)).text)).toContain('Suits week 9 of the season plan: the long Saturday (planned 10 mi).');
    expect((await nobody.get('/?week=9')).text).toContain('Asked about');
  });

  it('in kilometres', async () => {
    const { page } = await said({ date: SATURDAY, distanceMetres: 23_500 }, { units: 'km', eventDayMetres: 35_000 });
    expect(page).toMatch(/^week 9 of the season plan: the long Saturday \(planned \d+(\.5)? km\)$/);
  });

  it.each([
    ['there is no plan', SATURDAY, { eventDayMetres: 0 }],
    ['the season has not begun', SATURDAY, { eventDay: '2027-06-12' }],
    ['the event is over', SATURDAY, { eventDay: '2026-11-07' }],
    ['it is the day before the event', SATURDAY, { eventDay: '2026-11-29' }],
    ['it is on the event', SATURDAY, { eventDay: '2026-11-28' }],
  ])('never where %s', async (_, date, changed) => {
    for (const miles of [2.5, 5, 7, 14.5, 22]) {
      const { page, mark, feed, week9 } = await said({ date, distanceMetres: toMetres(miles, 'mi') }, changed);
      expect([page, mark, feed]).toEqual([null, false, null]);
      // Without a plan the timetable shows all, and says why.
      expect(week9).toBe('eventDayMetres' in changed);
    }
  });

  it('of those to come only, and none that is cancelled is said to', async () => {
    const { site, cast, nobody, id, post } = await said({ date: SATURDAY, distanceMetres: toMetres(14.5, 'mi') });
    post({ routeName: 'Monday gone', date: '2026-11-23', distanceMetres: toMetres(5, 'mi') });
    expect((await nobody.get('/?week=9')).text).not.toContain('Monday gone');
    cancelWalk(site.services, id, cast.ids.leader, { kind: 'other', reason: 'Ill' });
    expect(words((await nobody.get(`/walks/${id}`)).text)).not.toContain('Suits week');
    expect((await nobody.get('/')).text).not.toContain('Suits this week of the plan');
  });
});

it('what the timetable asks for is just what each walk is said to suit', () => {
  const settings = { slotToleranceShare: 0.15, slotToleranceMetres: 1609 };
  const walk = fc.record({ day: fc.integer({ min: -3, max: 260 }), distanceMetres: fc.integer({ min: 800, max: 60_000 }) });
  fc.assert(
    fc.property(anyWish, fc.array(walk, { minLength: 20, maxLength: 60 }), (wish, all) => {
      const plan = seasonPlan(wish);
      for (const { day, distanceMetres } of all) {
        const wallDate = addDays(plan.from, day);
        const found = plan.weeks.filter((week) =>
          bandsOf(week, plan, settings).some(
            ({ from, to, leastMetres, mostMetres }) =>
              from <= wallDate && wallDate <= to && leastMetres <= distanceMetres && distanceMetres <= mostMetres,
          ),
        );
        const slot = slotFor(plan, { wallDate, distanceMetres }, settings);
        expect(found.map(({ number }) => number)).toEqual(slot ? [slot.week.number] : []);
      }
    }),
    { numRuns: 200 },
  );
});

describe('the timetable of a week of the plan', () => {
  it('is asked for by its number, or as this week, beside the other choices', async () => {
    const { post, nobody } = await seasonSite();
    post({ routeName: 'Now', date: SATURDAY, distanceMetres: toMetres(14.5, 'mi') });
    post({ routeName: 'East', date: SATURDAY, distanceMetres: toMetres(14.5, 'mi'), ...CHICAGO });
    post({ routeName: 'Next', date: '2026-12-05', distanceMetres: toMetres(15.5, 'mi') });
    const shown = async (query: string) =>
      [...(await nobody.get(`/${query}`)).text.matchAll(/<a href="\/walks\/\d+">([^<]+)</g)].map((found) => found[1]);
    expect(await shown('?week=this')).toEqual(['Now', 'East']);
    expect(await shown('?week=9')).toEqual(['Now', 'East']);
    expect(await shown('?week=10')).toEqual(['Next']);
    expect(await shown('?week=9&area=east-fork')).toEqual(['East']);
    expect(await shown('?week=9&from=2026-11-25')).toEqual(['Now', 'East']);
    expect(await shown('?week=9&max=10')).toEqual([]);
    expect((await nobody.get('/calendar.ics?week=10')).text).toContain('Next');
    expect((await nobody.get('/calendar.ics?week=10')).text).not.toContain('Now');
  });

  it.each(['0', '17', '9.0', 'next', 'x', '-1'])('says that there is no week %s, and shows all', async (week) => {
    const { nobody } = await seasonSite();
    const { status, text } = await nobody.get(`/?week=${week}`);
    expect(status).toBe(200);
    expect(text).toContain('The season plan has no such week');
    expect(text).toContain('Quarry Lakes loop');
  });

  it('has no this week before the season and after it', async () => {
    for (const eventDay of ['2027-06-12', '2026-11-07']) {
      const { nobody } = await seasonSite({ eventDay });
      expect((await nobody.get('/?week=this')).text).toContain('The season plan has no such week');
    }
  });

  it('offers this week and the later ones, and keeps the one that is chosen', async () => {
    const { nobody } = await seasonSite();
    const { text } = await nobody.get('/?week=this');
    const select = /<select id="week"[\s\S]*?<\/select>/.exec(text)?.[0] ?? '';
    expect(select.match(/<option value="\d+"/g)).toHaveLength(8);
    expect(select).toContain('<option value="9" selected>week 9, Nov 23 (this week)</option>');
    expect(words(text)).toContain('This week of the plan: week 9 of 16. Two weekday walks of 5 mi, Saturday 14.5 mi, Sunday 7 mi.');
    expect(text).toContain('<a href="/?week=10">');
  });
});
