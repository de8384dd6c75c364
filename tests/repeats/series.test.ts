import { asc, eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { signUps, walks } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { signUpForm } from '../support/sign-up.js';

/** Nothing is left to mend on the walk itself. */
const INNS = { toilets: 'There are inns', water: 'There are inns' };

async function opened(changed: Partial<WalkFacts> = {}) {
  const site = await openSite();
  const cast = layCast(site);
  const facts = walkFacts({ explained: INNS, date: '2026-12-05', routeName: 'Weir walk', ...changed });
  const walkId = saveNewWalk(site.services, facts, cast.ids.leader, 'posted');
  const repeat = `/lead/walks/${walkId}/repeat`;
  const seriesId = () => site.db.q.select().from(walks).where(eq(walks.id, walkId)).get()?.seriesId ?? -1;
  const inSeries = () => site.db.q.select().from(walks).where(eq(walks.seriesId, seriesId())).orderBy(asc(walks.gatherAt)).all();
  return { site, cast, walkId, repeat, inSeries, leader: cast.browser('leader') };
}

const list = (...dates: string[]) => ({ every: 'dates', ends: 'count', dates: dates.join('\n') });

/** Both steps: the dates looked at, then made as the page shows them, but for what is changed. */
async function makeAll(browser: Browser, path: string, fields: Record<string, string>, changed: Record<string, string | string[]> = {}) {
  const preview = await browser.post(path, { ...fields, intent: 'preview' });
  expect(preview.status).toBe(200);
  return browser.post(path, { ...formFields(preview.text), intent: 'make', as: 'posted', ...changed });
}

/** The row of a date, without tags. */
function rowOf(html: string, date: string): string {
  const row = html.match(/<tr class[\s\S]*?<\/tr>/g)?.find((one) => one.includes(`make-${date}`)) ?? '';
  return row.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
}

const isTicked = (html: string, date: string) => new RegExp(`id="make-${date}" value="${date}" checked`).test(html);

describe('a series', () => {
  it('is made of a walk and its copies, all as the first but for date, and when the route was seen', async () => {
    const { leader, repeat, inSeries, cast, walkId } = await opened({
      seenOn: '2026-11-20',
      date: '2026-12-04',
      directions: 'Left\nRight',
    });
    const made = await makeAll(leader, repeat, { every: '1', ends: 'count', count: '3' });
    expect([made.status, made.headers.location]).toEqual([303, `/lead/walks/${walkId}#series`]);
    const all = inSeries();
    expect(all.map((walk) => [walk.wallDate, walk.wallTime, walk.state, walk.seenOn])).toEqual([
      ['2026-12-04', '08:45', 'posted', '2026-11-20'],
      ['2026-12-11', '08:45', 'posted', ''],
      ['2026-12-18', '08:45', 'posted', ''],
      ['2026-12-25', '08:45', 'posted', ''],
    ]);
    expect(new Set(all.map((walk) => [walk.directions, walk.capacity, walk.meetingPoint].join())).size).toBe(1);
    expect(new Set(all.map((walk) => walk.uid)).size).toBe(4);
    const page = (await leader.get(`/lead/walks/${walkId}`)).text;
    expect(page).toContain('The series: 4 walks');
    expect((await cast.browser('nobody').get('/')).text).toContain('Dec 25');
  });

  it('keeps the clock on the wall over the change of the clocks', async () => {
    const { leader, repeat, inSeries } = await opened({ date: '2027-03-07' });
    await makeAll(leader, repeat, { every: '1', ends: 'count', count: '1' });
    expect(inSeries().map((walk) => new Date(walk.gatherAt).toISOString())).toEqual([
      '2027-03-07T13:45:00.000Z',
      '2027-03-14T12:45:00.000Z',
    ]);
  });

  it('begins with a form that is sound as it stands', async () => {
    const { leader, repeat } = await opened();
    const fields = formFields((await leader.get(repeat)).text);
    expect(fields).toMatchObject({ every: '1', ends: 'count', count: '4', until: '', dates: '' });
    const preview = await leader.post(repeat, { ...fields, intent: 'preview' });
    expect([preview.status, preview.text.match(/name="make"/g)?.length]).toEqual([200, 4]);
  });

  it('of drafts is seen by nobody else', async () => {
    const { leader, repeat, inSeries } = await opened();
    await makeAll(leader, repeat, list('2026-12-12'), { as: 'draft' });
    expect(inSeries().map((walk) => walk.state)).toEqual(['posted', 'draft']);
  });

  it('sent twice is made once', async () => {
    const { leader, repeat, inSeries } = await opened();
    const preview = await leader.post(repeat, { ...list('2026-12-12', '2026-12-19'), intent: 'preview' });
    const fields = { ...formFields(preview.text), intent: 'make', as: 'posted' };
    const [first, second] = await Promise.all([leader.post(repeat, fields), leader.post(repeat, fields)]);
    expect([first.status, second.status]).toEqual([303, 303]);
    expect(inSeries()).toHaveLength(3);
  });

  it('grows by dates it does not have yet', async () => {
    const { leader, repeat, inSeries } = await opened();
    await makeAll(leader, repeat, list('2026-12-12'));
    const preview = await leader.post(repeat, { ...list('2026-12-12', '2026-12-19', '2026-12-05'), intent: 'preview' });
    expect(rowOf(preview.text, '2026-12-12')).toContain('has a walk on this date already');
    expect(rowOf(preview.text, '2026-12-05')).toContain('the walk that you repeat');
    expect((await leader.post(repeat, { ...formFields(preview.text), intent: 'make', as: 'draft' })).status).toBe(303);
    expect(inSeries().map((walk) => walk.wallDate)).toEqual(['2026-12-05', '2026-12-12', '2026-12-19']);
  });

  it('asks a coordinator who leads no walks to let a leader do it', async () => {
    const { cast, repeat } = await opened();
    expect((await cast.browser('coordinator').get(repeat)).status).toBe(403);
    expect((await cast.browser('coordinator').post(repeat, { ...list('2026-12-12'), intent: 'make' })).status).toBe(403);
  });
});

describe('what the dates show', () => {
  it('weekday, date, clock and zone of each, in each zone', async () => {
    for (const [zone, areaId, winter, summer] of [
      ['America/New_York', 1, 'EST', 'EDT'],
      ['America/Chicago', 2, 'CST', 'CDT'],
    ] as const) {
      const { leader, repeat } = await opened({ zone, areaId, date: '2027-03-06' });
      const { text } = await leader.post(repeat, { ...list('2027-03-13', '2027-03-14'), intent: 'preview' });
      expect(rowOf(text, '2027-03-13')).toMatch(new RegExp(`Sat, Mar 13, 2027 8:45.AM ${winter}`));
      expect(rowOf(text, '2027-03-14')).toMatch(new RegExp(`Sun, Mar 14, 2027 8:45.AM ${summer}`));
    }
  });

  it('an hour that the clocks skip can not be ticked, and is not made', async () => {
    const { leader, repeat, inSeries } = await opened({ gather: '02:30', setOff: '03:30', date: '2027-03-07' });
    const { text } = await leader.post(repeat, { ...list('2027-03-14', '2027-03-21'), intent: 'preview' });
    expect(rowOf(text, '2027-03-14')).toContain('Not possible The clocks go forward over 02:30');
    expect(text).not.toContain('name="make" id="make-2027-03-14"');
    const forced = await leader.post(repeat, { ...formFields(text), intent: 'make', as: 'draft', make: ['2027-03-14', '2027-03-21'] });
    expect(forced.status).toBe(422);
    expect(forced.text).toMatch(/Error: /);
    expect(inSeries()).toEqual([]);
  });

  it('an hour that happens twice is the first of them, or the one chosen', async () => {
    for (const [chosen, instant] of [
      [{}, '2027-11-07T05:30:00.000Z'],
      [{ 'hour[2027-11-07]': '-05:00' }, '2027-11-07T06:30:00.000Z'],
    ] as const) {
      const { site, cast, repeat, inSeries } = await opened({ gather: '01:30', setOff: '03:00', date: '2027-10-31' });
      site.clock.now = Date.UTC(2027, 9, 20);
      const leader = cast.browser('leader');
      const first = await leader.post(repeat, { ...list('2027-11-07'), ...chosen, intent: 'preview' });
      expect(first.text).toContain('this hour happens twice');
      await leader.post(repeat, { ...formFields(first.text), intent: 'make', as: 'draft', make: '2027-11-07' });
      expect(inSeries().map((walk) => new Date(walk.gatherAt).toISOString())[1]).toBe(instant);
    }
  });

  it('choosing the other hour without looking again is shown first', async () => {
    const { site, cast, repeat } = await opened({ gather: '01:30', setOff: '03:00', date: '2027-10-31' });
    site.clock.now = Date.UTC(2027, 9, 20);
    const leader = cast.browser('leader');
    const { text } = await leader.post(repeat, { ...list('2027-11-07'), intent: 'preview' });
    const answer = await leader.post(repeat, {
      ...formFields(text),
      'hour[2027-11-07]': '-05:00',
      intent: 'make',
      as: 'draft',
      make: '2027-11-07',
    });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Nothing is made yet');
  });

  it('a finish in the dark in December is unticked, can not be posted, and can be a draft', async () => {
    const { leader, repeat, inSeries } = await opened({ gather: '14:45', setOff: '15:00', date: '2027-06-05' });
    const { text } = await leader.post(repeat, { ...list('2026-12-12', '2027-05-15'), intent: 'preview' });
    expect(rowOf(text, '2026-12-12')).toMatch(/Mend The slowest are back at .*, in the dark/);
    expect(rowOf(text, '2026-12-12')).toContain('in the dark');
    expect([isTicked(text, '2026-12-12'), isTicked(text, '2027-05-15')]).toEqual([false, true]);
    const both = { ...formFields(text), intent: 'make', make: ['2026-12-12', '2027-05-15'] };
    const refused = await leader.post(repeat, { ...both, as: 'posted' });
    expect(refused.status).toBe(422);
    expect(rowOf(refused.text, '2026-12-12')).toContain('Make it as a draft, or untick it');
    expect(isTicked(refused.text, '2026-12-12')).toBe(true);
    expect(inSeries()).toEqual([]);
    expect((await leader.post(repeat, { ...both, as: 'draft' })).status).toBe(303);
    expect(inSeries().map((walk) => walk.state)).toEqual(['draft', 'draft', 'posted']);
  });

  it('a reason goes along where it still fits, and not where the finding is another', async () => {
    const explained = { ...INNS, dusk: 'Everyone brings a light' };
    const { leader, repeat, inSeries } = await opened({
      gather: '14:45',
      setOff: '15:00',
      distanceMetres: 12_000,
      date: '2026-12-04',
      explained,
    });
    await makeAll(leader, repeat, list('2026-12-26'), { as: 'draft', make: '2026-12-26' });
    expect(Object.keys(inSeries()[1]?.explained ?? {}).sort()).toEqual(['toilets', 'water']);
  });

  it('a clash with another walk of the leader or the area, and within the series', async () => {
    // One that goes on past midnight runs into the next day's.
    const long = { gather: '08:00', setOff: '08:15', distanceMetres: 100_000, date: '2026-12-20' };
    const { site, cast, leader, repeat } = await opened(long);
    saveNewWalk(site.services, walkFacts({ date: '2026-12-26', routeName: 'Own other' }), cast.ids.leader, 'posted');
    saveNewWalk(site.services, walkFacts({ date: '2026-12-29', routeName: 'Somebody else' }), cast.ids['other leader'], 'posted');
    const { text } = await leader.post(repeat, {
      ...list('2026-12-26', '2026-12-29', '2027-01-05', '2027-01-06', '2027-01-09'),
      intent: 'preview',
    });
    expect(rowOf(text, '2026-12-26')).toMatch(/Its leader is out then with .*Own other/);
    expect(rowOf(text, '2026-12-29')).toMatch(/in the same hours/);
    expect(rowOf(text, '2027-01-05')).toMatch(/Its leader is out then/);
    expect(rowOf(text, '2027-01-06')).toMatch(/Its leader is out then/);
    expect(rowOf(text, '2027-01-09')).not.toMatch(/Its leader is out then/);
  });

  it('ticks, but not where the leader is out already', async () => {
    const { site, cast, leader, repeat } = await opened();
    saveNewWalk(site.services, walkFacts({ date: '2026-12-12', routeName: 'Own other' }), cast.ids.leader, 'posted');
    const { text } = await leader.post(repeat, { ...list('2026-12-12', '2026-12-19'), intent: 'preview' });
    expect([isTicked(text, '2026-12-12'), isTicked(text, '2026-12-19')]).toEqual([false, true]);
  });

  it('a date that has passed, and one more than a year ahead, can not be made', async () => {
    const { leader, repeat } = await opened();
    const { text } = await leader.post(repeat, { ...list('2026-11-25', '2026-11-24', '2027-11-26', '2027-11-27'), intent: 'preview' });
    // The clock stands at noon UTC, 7 in the morning there: today's 8:45 is still to come.
    expect(rowOf(text, '2026-11-24')).toContain('This date has passed');
    expect(rowOf(text, '2026-11-25')).not.toContain('Not possible');
    expect(rowOf(text, '2027-11-27')).toContain('more than a year ahead');
    expect(rowOf(text, '2027-11-26')).toContain('more than a year ahead');
    const near = await leader.post(repeat, { ...list('2027-11-25'), intent: 'preview' });
    expect(rowOf(near.text, '2027-11-25')).not.toContain('Not possible');
  });

  it('makes nothing where something new stands in the way, and shows it', async () => {
    const { site, cast, leader, repeat, inSeries } = await opened();
    const { text } = await leader.post(repeat, { ...list('2026-12-12', '2026-12-19'), intent: 'preview' });
    saveNewWalk(site.services, walkFacts({ date: '2026-12-19', routeName: 'Came between' }), cast.ids.leader, 'posted');
    const answer = await leader.post(repeat, { ...formFields(text), intent: 'make', as: 'posted' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('this is not what you saw before');
    expect(rowOf(answer.text, '2026-12-19')).toContain('Came between');
    expect(inSeries()).toEqual([]);
    expect((await leader.post(repeat, { ...formFields(answer.text), intent: 'make', as: 'posted' })).status).toBe(303);
    expect(inSeries()).toHaveLength(3);
  });

  it('nothing ticked, nothing typed: a sentence, and what was typed is kept', async () => {
    const { leader, repeat } = await opened();
    const { text } = await leader.post(repeat, { ...list('2026-12-12'), intent: 'preview' });
    const { make: _, ...fields } = formFields(text);
    const none = await leader.post(repeat, { ...fields, intent: 'make', as: 'posted' });
    expect([none.status, none.text.includes('Tick at least one date')]).toEqual([422, true]);
    expect(none.text).toMatch(/name="as" value="posted" checked/);
    const wrong = await leader.post(repeat, { ...list('soon'), intent: 'preview' });
    expect([wrong.status, wrong.text.includes('>soon</textarea>')]).toEqual([422, true]);
    const back = await leader.post(repeat, { ...formFields(text), intent: 'change' });
    expect([back.status, back.text.includes('>2026-12-12</textarea>')]).toEqual([200, true]);
  });

  it('costs as many statements for 26 dates as for one', async () => {
    const { site, leader, repeat } = await opened();
    const count = async (number: string) => {
      let statements = 0;
      const { prepare } = site.db.raw;
      const asked: string[] = [];
      site.db.raw.prepare = ((text: string) => {
        asked.push(text);
        return prepare.call(site.db.raw, text);
      }) as typeof prepare;
      await leader.post(repeat, { every: '1', ends: 'count', count: number, intent: 'preview' });
      statements = asked.length;
      site.db.raw.prepare = prepare;
      return statements;
    };
    await count('1');
    expect(await count('26')).toBe(await count('1'));
  });
});

describe('the sign-ups of a series', () => {
  it('are none at first: nobody is carried over', async () => {
    const { site, walkId, leader, repeat } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, walkId, signUpForm()));
    await makeAll(leader, repeat, list('2026-12-12'));
    expect(site.db.q.select().from(signUps).all()).toHaveLength(1);
  });
});

describe('a series of an unfinished draft', () => {
  it.each([
    ['meetingPoint', 'It has no meeting point yet'],
    ['landmark', 'It has no landmark yet'],
  ] as const)('without a %s can be drafts only', async (field, title) => {
    const { site, cast, leader } = await opened();
    const facts = walkFacts({ explained: INNS, date: '2026-12-06', routeName: 'Ridge walk', [field]: '' });
    const repeat = `/lead/walks/${saveNewWalk(site.services, facts, cast.ids.leader, 'draft')}/repeat`;
    const shown = await leader.post(repeat, { ...list('2026-12-13', '2026-12-20'), intent: 'preview' });
    expect(shown.text).toContain(title);
    expect(isTicked(shown.text, '2026-12-13')).toBe(false);
    const refused = await makeAll(leader, repeat, list('2026-12-13', '2026-12-20'), { make: ['2026-12-13', '2026-12-20'] });
    expect(refused.status).toBe(422);
    expect(rowOf(refused.text, '2026-12-13')).toContain(`&quot;${title}`);
    const made = await makeAll(leader, repeat, list('2026-12-13', '2026-12-20'), { make: ['2026-12-13', '2026-12-20'], as: 'draft' });
    expect(made.status).toBe(303);
    const states = site.db.q.select().from(walks).where(eq(walks.routeName, 'Ridge walk')).all();
    expect(states.map(({ state }) => state)).toEqual(['draft', 'draft', 'draft']);
  });
});
