import { parse } from 'csv-parse/sync';
import { beforeEach, describe, expect, it } from 'vitest';
import { coverageOf } from '../../server/coverage/coverage.js';
import { boardVisits, people } from '../../server/db/schema/index.js';
import { planInForce } from '../../server/plan/store.js';
import { saveSettings } from '../../server/settings/store.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { type Cast, layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { miles } from './area.js';

let site: TestSite;
let cast: Cast;
let coordinator: Browser;

/** The event is on Saturday 20 March 2027: the first of eight weeks begins on Monday 25 January. Both areas were added a year before. */
beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
  coordinator = cast.browser('coordinator');
  site.db.raw.exec('UPDATE areas SET created_at = created_at - 31536000000');
  site.db.write((tx) => saveSettings(tx, { eventDay: '2027-03-20', eventDayMetres: miles(10), seasonWeeks: 8 }));
});

const plain = (html: string) => html.replaceAll('&#x3D;', '=').replaceAll('&amp;', '&');
const board = async (query = '') => plain((await coordinator.get(`/coordinate${query}`)).text);
const post = (date: string, changed: Parameters<typeof walkFacts>[0] = {}) =>
  saveNewWalk(site.services, walkFacts({ date, ...changed }), cast.ids.leader, 'posted');

/** What the table says: met of needed by area and month, "-" where nothing is asked. */
function cells(html: string): Record<string, string[]> {
  const body = html.slice(html.indexOf('<tbody>'), html.indexOf('</tbody>'));
  return Object.fromEntries(
    body
      .split('<tr>')
      .slice(1)
      .map((row) => {
        const name = /<a href="\/areas\/[^"]+">([^<]+)/.exec(row)?.[1] ?? '';
        const found = [...row.matchAll(/<td[^>]*>(?:<a href="[^"]+"><b class="num">(\d+)<\/b> of (\d+)|<a href="[^"]+">none asked)/g)];
        return [name, found.map(([, met, needed]) => (met === undefined ? '-' : `${met}/${needed}`))];
      }),
  );
}

const csvRows = async (query = '') =>
  parse((await coordinator.get(`/coordinate/coverage.csv${query}`)).text, { columns: true }) as Record<string, string>[];

/** Length of the plan's Saturday walk in the week of a date, miles. */
const planned = async (saturday: string) =>
  Number((await csvRows('?from=2027-01')).find((row) => row.Day === saturday && row.Area === 'Lantern Hills')?.['Plan, mi']);

describe('the board', () => {
  it('counts the needs of each area and month, from plan and floor, and the walks that meet them', async () => {
    // 24 of 31 days of January are outside the season, and 10 of March: the event's week ends on the 21st.
    const first = cells(await board());
    expect(first['Lantern Hills']?.slice(0, 2)).toEqual(['0/2', '1/2']);
    expect(first['East Fork']?.slice(0, 2)).toEqual(['0/2', '0/2']);
    const length = await planned('2027-02-06');
    const before = first['Lantern Hills']?.[3] ?? '';
    expect(before).toMatch(/^0\/\d+$/);
    post('2027-02-06', { distanceMetres: miles(length) });
    expect(cells(await board())['Lantern Hills']?.[3]).toBe(before.replace('0/', '1/'));
    expect(cells(await board())['East Fork']?.[3]).toBe(before);
  });

  it('says for each cell that its month has none, a part or all, and how many more there are', async () => {
    for (const date of ['2026-12-12', '2026-12-19']) post(date);
    const html = await board();
    expect(html).toMatch(
      /<td class="full"><a href="[^"]+month=2026-12#open"><b class="num">2<\/b> of 2<\/a> <span class="soft small">\+1</,
    );
    expect(html).toMatch(/<b class="num">0<\/b> of 2<\/a> <b class="small">none<\/b>/);
    expect(html).not.toContain('Set the event');
    expect(html).toContain('■■');
    expect(html).toContain('□□');
  });

  it('does not count drafts, cancelled walks and those of other areas', async () => {
    cancelWalk(site.services, cast.walkId, cast.ids.coordinator, { kind: 'other', reason: 'Ill' });
    expect(cells(await board())['Lantern Hills']?.[1]).toBe('0/2');
  });

  it('of a group without an event is the floor alone', async () => {
    site.db.write((tx) => saveSettings(tx, { eventDay: '' }));
    const html = await board('?from=2027-01');
    expect(cells(html)['East Fork']).toEqual(['0/2', '0/2', '0/2', '0/2', '0/2', '0/2']);
    expect(html).toContain('<a href="/coordinate/season">Set the event</a>');
  });

  it('asks nothing of a month before an area was added, and tells of an area without a leader', async () => {
    site.db.raw.exec(`UPDATE areas SET created_at = ${NOON} WHERE slug = 'east-fork'`);
    const html = await board('?from=2026-09');
    expect(cells(html)['East Fork']?.slice(0, 3)).toEqual(['-', '-', '0/2']);
    expect(html).toMatch(/East Fork<\/a><span class="soft small">No leader, 0 walkers/);
  });

  it('goes by the date in each area: at one instant a day is over in one and not in the other', async () => {
    const saturdays = async () =>
      (await csvRows('?from=2027-02')).filter((row) => row.Day === '2027-02-06' || row['Week from'] === '2027-02-01');
    // Saturday 6 February, half past midnight in New York and half past eleven on Friday in Chicago.
    site.clock.now = Date.UTC(2027, 1, 6, 5, 30);
    coordinator = cast.browser('coordinator');
    const states = (await saturdays()).filter((row) => row.Kind === 'Long Saturday').map((row) => [row.Area, row.State]);
    expect(states).toEqual([
      ['East Fork', 'missing'],
      ['Lantern Hills', 'passed'],
    ]);
  });

  it('counts a walk for a month that begins after it, whichever months are shown', () => {
    saveSettings(site.db.q, { eventDay: '2027-05-01' });
    const settings = site.services.settings();
    const terms = { plan: planInForce(site.db.q, settings), settings, todayIn: () => '2026-11-25' };
    const weekday = () => {
      const lanternHills = coverageOf(site.db.q, terms, ['2027-04']).find(({ area }) => area.slug === 'lantern-hills');
      return lanternHills?.covered.find(({ need }) => need.id === '1 2027-03-29 1 0');
    };
    expect(weekday()?.walk).toBeNull();
    const id = post('2027-03-29', { distanceMetres: Math.round(weekday()?.need.bestMetres ?? 0) });
    expect(weekday()?.walk?.id).toBe(id);
  });

  it('counts a walk by its own date: late on the Sunday on which the clocks change it is still of that week', async () => {
    site.db.write((tx) => saveSettings(tx, { eventDay: '2027-05-01' }));
    const kinds = async () => (await csvRows('?from=2027-03')).filter((row) => row.Area === 'Lantern Hills' && row.Walk !== '');
    const sunday = (await csvRows('?from=2027-03')).find((row) => row.Kind === 'Weekday' && row['Week from'] === '2027-03-15');
    // Clocks go forward in the night to Sunday 14 March; the Monday after, a weekday walk gathers at half past midnight.
    post('2027-03-15', { gather: '00:30', setOff: '00:45', distanceMetres: miles(Number(sunday?.['Plan, mi'])) });
    post('2027-03-14', { gather: '23:30', setOff: '23:45', distanceMetres: miles(Number(sunday?.['Plan, mi'])) });
    expect((await kinds()).map((row) => [row.Kind, row['Week from'], row.Day])).toEqual([['Weekday', '2027-03-15', '2027-03-15']]);
  });
});

describe('an open cell', () => {
  it('shows week by week what is missing, to be asked for, and by who leads to be posted with area, day and length', async () => {
    const length = await planned('2027-02-06');
    const html = await board('?area=lantern-hills&month=2027-02');
    const open = html.slice(html.indexOf('id="open"'), html.indexOf('Most pressing'));
    expect(open).toContain('Week 2, from Mon, Feb 1');
    expect(open).toMatch(/<b>Long Saturday<\/b>[\s\S]*missing<\/b> <span class="soft">for Sat, Feb 6/);
    expect(open).toContain('href="/coordinate/proposals?from=2027-02&months=1&area=lantern-hills&need=1+2027-02-01+2+0">Ask');
    expect(open).not.toContain('/lead/walks/new');
    site.db.write((tx) => tx.update(people).set({ coordinator: true }).run());
    const leader = cast.browser('leader');
    const href = `/lead/walks/new?area=lantern-hills&date=2027-02-06&distance=${length}`;
    expect(plain((await leader.get('/coordinate?area=lantern-hills&month=2027-02')).text)).toContain(`href="${href}"`);
    expect(formFields((await leader.get(href)).text)).toMatchObject({
      area: 'lantern-hills',
      date: '2027-02-06',
      distance: String(length),
    });
  });

  it('names the walk that meets a need, and those that no need asks for', async () => {
    post('2027-02-06', { routeName: 'Weir and back', distanceMetres: miles(await planned('2027-02-06')) });
    post('2027-02-07', { routeName: 'Far too far', distanceMetres: miles(30) });
    const html = await board('?area=lantern-hills&month=2027-02');
    expect(html).toMatch(/■<\/span> <a href="\/walks\/\d+">Weir and back<\/a>, [\d.]+ mi, <span class="nowrap">Sat, Feb 6/);
    expect(html).toMatch(/no need asks for<\/h3>[\s\S]*Far too far[\s\S]*30\.0 mi/);
  });

  it('has the rest of a month outside the season as a floor, and says what passed', async () => {
    expect(await board('?area=east-fork&month=2027-01')).toContain('January outside the season');
    expect(await board('?area=east-fork&month=2026-10')).toContain('passed without a walk');
  });

  it('brings its month into view where it lies outside, and is closed where there is none such', async () => {
    expect(cells(await board('?area=east-fork&month=2028-02'))['East Fork']?.[0]).toBe('0/2');
    for (const query of [
      '?area=nowhere&month=2027-02',
      '?area=east-fork&month=2027-13',
      '?area[]=east-fork&month=2027-02',
      '?month=2027-02',
    ])
      expect([query, (await board(query)).includes('id="open"')]).toEqual([query, false]);
  });
});

describe('what is shown', () => {
  it.each([
    ['', 6],
    ['?months=12', 12],
    ['?months=3', 3],
    ['?months=600', 6],
    ['?from=1999-13', 6],
  ])('with "%s" is %i months', async (query, count) => {
    expect(cells(await board(query))['East Fork']).toHaveLength(count);
  });

  it('of lengths asked for is the plan between them alone, whichever way round they are typed', async () => {
    const all = await csvRows('?from=2027-01');
    const long = all.filter((row) => Number(row['Plan, mi']) >= 6 && Number(row['Plan, mi']) <= 8.5);
    expect(long.length).toBeGreaterThan(0);
    expect(await csvRows('?from=2027-01&min=6&max=8.5')).toEqual(long);
    expect(await csvRows('?from=2027-01&min=8,5&max=6')).toEqual(long);
    expect((await csvRows('?from=2027-01&max=8.5')).map((row) => row.Kind)).not.toContain('Any day');
    const html = await board('?from=2027-01&min=8.5&max=6');
    expect(html).toContain('so they are swapped');
    expect(html).toContain('href="/coordinate?from=2027-07&min=6&max=8.5"');
    expect(await board('?min=a')).toContain('could not be read');
  });
});

describe('the CSV', () => {
  it('has a line a need, with the lengths that count and the walk that meets it', async () => {
    const rows = await csvRows();
    const december = rows.filter((row) => row.Area === 'Lantern Hills' && row.Month === '2026-12');
    expect(december).toMatchObject([
      {
        Kind: 'Any day',
        'Plan, mi': '',
        State: 'met',
        Day: '2026-12-05',
        'Length, mi': '8.2',
        Walk: `${site.config.baseUrl}/walks/${cast.walkId}`,
      },
      { Kind: 'Any day', State: 'missing', Day: '2026-12-12', Walk: '' },
    ]);
    const counted = Object.values(cells(await board()))
      .flat()
      .reduce((sum, one) => sum + Number(one.split('/')[1]), 0);
    expect(rows).toHaveLength(counted);
  });
});

describe('marking the board as seen', () => {
  const rows = () => site.db.q.select().from(boardVisits).all();
  const markSeen = async (html?: string) =>
    coordinator.post('/coordinate/seen', { mark: formFields(html ?? (await board())).mark as string });
  const since = (html: string) => html.slice(html.indexOf('id="since"'));

  it('keeps what was seen, by a button alone, and the next visit says what opened and what closed', async () => {
    await board();
    expect(rows()).toEqual([]);
    expect((await markSeen()).status).toBe(303);
    expect(rows()).toMatchObject([{ personId: cast.ids.coordinator, seenAt: NOON, untilMonth: '2027-10' }]);
    expect(since(await board())).toContain('Nothing changed since');
    post('2026-12-12', { routeName: 'New way' });
    cancelWalk(site.services, cast.walkId, cast.ids.coordinator, { kind: 'other', reason: 'Ill' });
    post('2027-02-06', { routeName: 'Weir and back', distanceMetres: miles(await planned('2027-02-06')) });
    expect(since(await board())).toMatch(/Now posted<\/h3>[\s\S]*Sat, Feb 6: <a href="\/walks\/\d+">Weir and back/);
    cancelWalk(site.services, 3, cast.ids.coordinator, { kind: 'other', reason: 'Ill' });
    expect(since(await board())).toMatch(
      /Newly missing<\/h3>[\s\S]*Lantern Hills<\/b>, Sat, Dec 5, or another day in December 2026: a walk wanted/,
    );
    await markSeen();
    expect(rows()).toHaveLength(1);
    expect(since(await board())).toContain('Nothing changed since');
  });

  it('tells a gap that a walk met and whose month is over from one that passed without', async () => {
    await markSeen();
    const missing = rows()[0]?.gaps.filter((id) => id.split(' ')[1]?.startsWith('2026')).length ?? 0;
    post('2026-12-12', { areaId: 2, zone: 'America/Chicago', routeName: 'In time' });
    site.clock.now = Date.UTC(2027, 0, 4, 18);
    coordinator = cast.browser('coordinator');
    const html = since(await board());
    expect(html).toMatch(/Now posted<\/h3>[\s\S]*Sat, Dec 12: <a href="\/walks\/\d+">In time/);
    expect(missing).toBeGreaterThan(2);
    expect(html).toContain(`Passed without a walk: ${missing - 1}.`);
    expect(html).not.toContain('Asked for no more');
  });

  it('marks nothing from a board that has changed since, and says so', async () => {
    const old = await board();
    post('2026-12-12');
    const answer = await markSeen(old);
    expect(answer.headers.location).toBe('/coordinate?outdated=1');
    expect(rows()).toEqual([]);
    expect(await board('?outdated=1')).toContain('Not marked yet.');
  });
});
