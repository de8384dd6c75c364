import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { checkAssignment } from '../../server/calc/assign-check.js';
import { monthsFrom } from '../../server/calc/month.js';
import { type AssignmentSolver, assignmentSolver, type Solution } from '../../server/coverage/solve.js';
import { leaders, people } from '../../server/db/schema/index.js';
import { standDown } from '../../server/leaders/store.js';
import { addLetter } from '../../server/proposals/asks-store.js';
import { seasonFor } from '../../server/proposals/season.js';
import { saveSettings } from '../../server/settings/store.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { solverHere } from '../support/solver.js';
import { cast, coordinator, fieldsOf, open, PAGE, plain, rowsOf, sendAll, shown, site, stored } from './stage.js';

beforeEach(() => open());

describe('the proposals', () => {
  it('name leaders for what is missing, with why and who else could, ticked', async () => {
    const html = await shown();
    // Lantern Hills lacks one walk of two; nobody goes to East Fork.
    expect(html).toContain('Ask 1 person for 1 of the 3 walks that are missing.');
    expect(html).toContain('Proven best');
    expect(html).toMatch(/Own area\. 1 of 1 promised for December is left\. Led \d this season\./);
    expect(html).toContain('No leader goes to this area.');
    const fields = fieldsOf(html);
    expect(rowsOf(fields)).toBe(3);
    expect(Object.keys(fields).filter((name) => name.endsWith('[ask]'))).toEqual(['rows[0][ask]']);
    expect([...html.matchAll(/<option value="\d+"[^>]*>([^<]*(?:left|met))/g)].map((found) => found[1])).toEqual([
      'Otto Blume: own area, 1 of 1 left',
      'Lena Marsh: own area, pledge met',
      'Coe Lindgren: own area, pledge met',
    ]);
  });

  it('are worked out by a process of its own, where nothing else is handed in', async () => {
    await open(assignmentSolver());
    expect(await shown()).toContain('Proven best');
  });

  it('keep to the rules, looked over anew with the data that the page went by', async () => {
    site.db.write((tx) => saveSettings(tx, { floorWalks: 5 }));
    const filter = { months: monthsFrom('2026-12', 3), area: '', isUsual: false, faults: {} };
    const { input } = seasonFor(site.db.q, site.services, filter, '2026-11-25');
    const solution = await solverHere.solve(input, { timeLimitMs: 5000 });
    if (solution.status === 'failed') throw new Error(solution.why);
    expect(solution.pairs.length).toBeGreaterThan(8);
    expect(checkAssignment(input, solution.pairs).faults).toEqual([]);
    // What stands in the tables, apart from what was handed to the solver.
    const busy = site.db.raw
      .prepare('SELECT l.person_id || w.wall_date FROM walks w JOIN walk_leaders l ON l.walk_id = w.id')
      .pluck()
      .all();
    expect(solution.pairs.filter(({ leaderId, date }) => busy.includes(`${leaderId}${date}`))).toEqual([]);
    const perMonth = new Map<string, number>();
    for (const { leaderId, date } of solution.pairs) {
      const key = `${leaderId} ${date.slice(0, 7)}`;
      perMonth.set(key, (perMonth.get(key) ?? 0) + 1);
    }
    expect(Math.max(...perMonth.values())).toBeLessThanOrEqual(2);
  });

  it('know what is led and asked on the other side of a border of months: a weekend lies on both', () => {
    const bette = cast.ids['other leader'];
    saveNewWalk(site.services, walkFacts({ date: '2027-07-31' }), bette, 'posted');
    const filter = { months: ['2027-08'], area: '', isUsual: false, faults: {} };
    const [letter, ask] = [
      { to: cast.ids['co-leader'], by: cast.ids.coordinator, note: '', at: site.clock.now },
      { need: '2 2027-07 0 00', areaId: 2, week: '', month: '2027-07', dayKind: 'any', date: '2027-07-31' } as const,
    ];
    site.db.write((tx) => addLetter(tx, site.services.sealer, letter, [ask]));
    const busy = new Map(seasonFor(site.db.q, site.services, filter, '2026-11-25').input.leaders.map((one) => [one.id, one.busyDates]));
    expect([busy.get(bette), busy.get(cast.ids['co-leader'])]).toEqual([['2027-07-31'], ['2027-07-31']]);
  });

  it.each([
    ['?area=east-fork', 'East Fork', 'Lantern Hills</b>'],
    ['?months=1&from=nonsense', 'That month could not be read', 'nothing'],
    ['?area=nowhere', 'There is no such area', 'nothing'],
    ['?from=2020-01', 'Nov', 'Jan 2020'],
  ])('%s are shown as asked for', async (query, there, notThere) => {
    const html = await shown(query);
    expect(html).toContain(there);
    expect(html).not.toContain(notThere);
  });

  it('of one walk, which the board leads to, ask for that one alone', async () => {
    site.db.write((tx) => saveSettings(tx, { floorWalks: 5 }));
    const board = plain((await coordinator.get('/coordinate?area=lantern-hills&month=2026-12')).text);
    const href = /href="\/coordinate\/proposals(\?from=2026-12&months=1&area=lantern-hills&need=[^"]+)"/.exec(board)?.[1] ?? '';
    const html = await shown(href);
    expect(html).toContain('Ask 1 person for 1 walk that is missing.');
    expect(rowsOf(fieldsOf(html))).toBe(1);
    expect(html).toContain('<a href="/coordinate/proposals?from=2026-12&months=1&area=lantern-hills">Everything');
    const { answer } = await sendAll({}, href);
    expect(stored()).toHaveLength(1);
    expect(plain(answer.headers.location ?? '')).toContain('&need=');
    const after = plain((await coordinator.get(answer.headers.location ?? '')).text);
    expect(after).toContain('1 walk asked for.');
    expect(after).not.toContain('This walk is asked for already');
    expect(rowsOf(fieldsOf(after))).toBe(0);
    expect(await shown(href)).toContain('This walk is asked for already');
    const see = plain((await coordinator.get('/coordinate?area=lantern-hills&month=2026-12')).text);
    expect(see).toContain(`href="/coordinate/proposals${href}">See<`);
  });

  it('count down what is left of a promise, walk by walk', async () => {
    site.db.write((tx) => saveSettings(tx, { floorWalks: 5 }));
    const html = await shown();
    const otto = html.slice(html.indexOf('<legend>Otto Blume'), html.indexOf('</fieldset>', html.indexOf('<legend>Otto Blume')));
    expect([...otto.matchAll(/Own area\. ([^.]+)\./g)].map((found) => found[1])).toEqual([
      '1 of 1 promised for December is left',
      'What was promised for December (1) is posted, asked for or proposed above: this is one more',
    ]);
    expect([...otto.matchAll(/selected>([^<]+)</g)].map((found) => found[1])).toEqual([
      'Otto Blume: own area, 1 of 1 left',
      'Otto Blume: own area, pledge met',
    ]);
  });

  it('name nobody whose agreement is due, who was stood down or is shut out', async () => {
    site.db.write((tx) => {
      tx.update(leaders).set({ agreementDueAt: site.clock.now }).where(eq(leaders.personId, cast.ids['other leader'])).run();
      tx.update(people).set({ disabledAt: 1 }).where(eq(people.id, cast.ids['co-leader'])).run();
      standDown(tx, cast.ids.leader, cast.ids.coordinator, site.clock.now);
    });
    const html = await shown();
    expect(html).toContain('3 walks are missing, and nobody is left to ask by your rules.');
    expect(html).not.toContain('<button class="do">');
    site.db.write((tx) =>
      tx
        .update(leaders)
        .set({ agreementDueAt: site.clock.now + 1 })
        .where(eq(leaders.personId, cast.ids['other leader']))
        .run(),
    );
    expect(await shown()).toContain('Ask 1 person');
  });

  it.each<[Solution, string]>([
    [{ status: 'failed', why: 'broke' }, 'could not be worked out'],
    [{ status: 'failed', why: 'busy' }, 'Try again in a moment'],
  ])('that can not be worked out leave what is missing, with who could lead it: %o', async (solution, sentence) => {
    await open({ ...solverHere, solve: () => Promise.resolve(solution) });
    const html = await shown();
    expect(html).toContain(sentence);
    expect(html).not.toContain('Ask 1 person');
    expect(html.match(/<option value="\d+"[^>]*>[^<]*(left|met)/g)).toHaveLength(3);
    const fields = fieldsOf(html);
    const row =
      Object.keys(fields)
        .find((name) => name.endsWith('[leader]'))
        ?.replace('[leader]', '') ?? '';
    expect((await coordinator.post(PAGE, { ...fields, [`${row}[ask]`]: 'yes' })).status).toBe(303);
    expect(stored()).toHaveLength(1);
  });

  it('whose time ran out are the best found, with what no choice can exceed', async () => {
    const solve: AssignmentSolver['solve'] = async (input, set) => {
      const found = await solverHere.solve(input, set);
      return found.status === 'failed' ? found : { ...found, status: 'time limit', seconds: 5.1, bound: { missed: 0 } };
    };
    await open({ ...solverHere, solve });
    expect(await shown()).toMatch(/Best found in 5 seconds: it fills \d+ of 100 by urgency, and none can fill more than 100\./);
  });

  it('hold up nobody while they are worked out, and both coordinators get theirs', async () => {
    let go: (() => void) | undefined;
    const gate = new Promise<void>((resolve) => {
      go = resolve;
    });
    await open({ ...solverHere, solve: (input, set) => gate.then(() => solverHere.solve(input, set)) });
    const waiting = [coordinator.get(PAGE), cast.browser('coordinator').get(PAGE)];
    expect((await cast.browser('nobody').get('/')).status).toBe(200);
    expect((await cast.browser('coordinator').get('/coordinate')).status).toBe(200);
    go?.();
    expect((await Promise.all(waiting)).map(({ status }) => status)).toEqual([200, 200]);
  });
});
