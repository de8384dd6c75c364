import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { checkAssignment } from '../../server/calc/assign-check.js';
import { monthsFrom } from '../../server/calc/month.js';
import { type AssignmentSolver, assignmentSolver, type Solution } from '../../server/coverage/solve.js';
import { askLetters, asks, leaders, notices, people } from '../../server/db/schema/index.js';
import { standDown } from '../../server/leaders/store.js';
import { mailMaker } from '../../server/notices/mail.js';
import { stillStands } from '../../server/notices/stands.js';
import { addLetter, endAsk, openLettersTo } from '../../server/proposals/asks-store.js';
import { seasonFor } from '../../server/proposals/season.js';
import { saveSettings } from '../../server/settings/store.js';
import { oweContext, saveNewWalk } from '../../server/walks/save.js';
import { openSite, type TestSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { type Cast, layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { solverHere } from '../support/solver.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

const PAGE = '/coordinate/proposals';
const FAR = Date.UTC(2030, 0);
const DAY_MS = 86_400_000;

/** What a leader types into the filled form. */
const { area: _area, date: _date, ...REST } = WALK_FIELDS;
const TYPED = { ...REST, routeName: 'Asked loop', distance: '4' };

let site: TestSite;
let cast: Cast;
let coordinator: Browser;

/** Two areas, each with a floor of two walks a month; three leaders of Lantern Hills who promised one each, two of whom lead one together in December. */
async function open(solver: AssignmentSolver = solverHere): Promise<void> {
  site = await openSite({}, solver);
  cast = layCast(site);
  coordinator = cast.browser('coordinator');
  site.db.write((tx) => tx.update(leaders).set({ agreementDueAt: FAR }).run());
}
beforeEach(() => open());

const plain = (html: string) => html.replaceAll('&#x3D;', '=').replaceAll('&amp;', '&').replaceAll('&#x27;', "'");
const shown = async (query = '?from=2026-12&months=1') => plain((await coordinator.get(PAGE + query)).text);
/** Without the token of the browser that was shown it. */
const fieldsOf = (html: string) => {
  const { csrf: _, ...fields } = formFields(html) as Record<string, string>;
  return fields;
};
const rowsOf = (fields: Record<string, string>) => Object.keys(fields).filter((name) => name.endsWith('[need]')).length;
const stored = () => site.db.q.select().from(asks).all();
const mails = () => site.db.q.select().from(notices).where(eq(notices.kind, 'ask')).all();

/** Sends what is proposed, just as the page has it; gives the private addresses of the mails, by leader. */
async function sendAll(changed: Record<string, string> = {}, query = '?from=2026-12&months=1') {
  const answer = await coordinator.post(PAGE + query, { ...fieldsOf(await shown(query)), ...changed });
  const maker = mailMaker(site.services, site.views);
  const links = mails().map((row) => [row.toName, /http:\/\/[^/]+(\/asks\/[\w-]+)/.exec(maker.make(row).text)?.[1] ?? ''] as const);
  return { answer, links: new Map(links) };
}

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

describe('what is sent', () => {
  it('asks each leader by one mail, and shows it as asked; the need is proposed to nobody else meanwhile', async () => {
    const { answer, links } = await sendAll({ note: 'It would help.' });
    expect([answer.status, answer.headers.location]).toEqual([303, `${PAGE}?from=2026-12&months=1&sent=1`]);
    expect(stored()).toMatchObject([{ areaId: 1, month: '2026-12', dayKind: 'any', state: 'open', bestMetres: null }]);
    expect([links.size, mails()[0]?.state]).toEqual([1, 'pending']);
    const html = await shown(`?from=2026-12&months=1&sent=1`);
    expect(html).toContain('<b>1 walk asked for.</b>');
    expect(html).toContain('no answer yet');
    expect(html).toContain('2 walks are missing, and nobody is left to ask');
    expect(plain((await coordinator.get('/coordinate')).text)).toContain('1 asked for, no answer yet');
  });

  it('is mailed for three days, or until the last day that is asked for begins', async () => {
    await sendAll();
    expect(mails()[0]?.giveUpAt).toBe(site.clock.now + 3 * DAY_MS);
    await open();
    site.clock.now = Date.UTC(2026, 11, 24, 15);
    coordinator = cast.browser('coordinator');
    await sendAll();
    const last = Date.parse(stored()[0]?.date ?? '');
    expect(last).toBeLessThan(site.clock.now + 3 * DAY_MS);
    expect(mails()[0]?.giveUpAt).toBe(last);
  });

  it('twice does no harm: the same form asks once', async () => {
    const fields = fieldsOf(await shown());
    const query = '?from=2026-12&months=1';
    expect((await coordinator.post(PAGE + query, fields)).status).toBe(303);
    expect((await coordinator.post(PAGE + query, fields)).status).toBe(303);
    expect([stored().length, mails().length]).toEqual([1, 1]);
  });

  it('by two coordinators at once asks one leader: the second is told who was asked, and keeps what they typed', async () => {
    const fields = fieldsOf(await shown());
    const [first, other] = [cast.ids['other leader'], cast.ids['co-leader']];
    expect((await coordinator.post(PAGE, { ...fields, 'rows[0][leader]': String(first) })).status).toBe(303);
    const second = await cast.browser('coordinator').post(PAGE, { ...fields, 'rows[0][leader]': String(other), note: 'Mine' });
    expect(second.status).toBe(422);
    expect(second.text).toContain('Otto Blume was asked for this walk meanwhile');
    expect(second.text).toMatch(/<title>Error: /);
    expect(fieldsOf(second.text).note).toBe('Mine');
    expect(stored()).toHaveLength(1);
  });

  it('may ask a leader again for what a walk of theirs left missing: it met another need like it', async () => {
    const query = '?from=2027-01&months=1';
    const bette = cast.ids['other leader'];
    const ask = {
      'rows[0][ask]': 'on',
      'rows[0][need]': '1 2027-01 0 01',
      'rows[0][leader]': String(bette),
      'rows[0][date]': '2027-01-09',
    };
    await shown(query);
    expect((await coordinator.post(PAGE + query, ask)).status).toBe(303);
    site.clock.now += 1000;
    saveNewWalk(site.services, walkFacts({ date: '2027-01-16' }), bette, 'posted');
    expect(await shown(query)).toContain('posted the walk');
    site.clock.now += 1000;
    expect((await coordinator.post(PAGE + query, ask)).status).toBe(303);
    expect(stored().map(({ need, state }) => [need, state])).toEqual([
      ['1 2027-01 0 01', 'ended'],
      ['1 2027-01 0 01', 'open'],
    ]);
    const html = await shown(query);
    expect([html.includes('posted the walk'), html.includes('no answer yet')]).toEqual([true, true]);
  });

  it('goes to the leader that was chosen instead', async () => {
    const html = await shown();
    const proposed = fieldsOf(html)['rows[0][leader]'];
    const other = [cast.ids['other leader'], cast.ids['co-leader']].find((id) => String(id) !== proposed);
    await sendAll({ 'rows[0][leader]': String(other) });
    expect(stored()[0]?.toPersonId).toBe(other);
  });

  it('with nothing ticked is refused', async () => {
    const { 'rows[0][ask]': _, ...fields } = fieldsOf(await shown());
    const answer = await coordinator.post(PAGE, fields);
    expect([answer.status, stored().length]).toEqual([422, 0]);
    expect(answer.text).toContain('Tick at least one walk.');
  });

  it('can be taken back, and the walk is proposed again', async () => {
    const { links } = await sendAll();
    const id = String(stored()[0]?.id);
    await coordinator.get(PAGE);
    expect((await coordinator.post(PAGE, { takeBack: id })).status).toBe(303);
    expect(stored()[0]?.state).toBe('ended');
    expect(await shown()).toContain('Ask 1 person');
    expect((await cast.browser('nobody').get([...links.values()][0] ?? '')).text).toContain('not asked for this any more');
  });
});

describe('a leader who is asked', () => {
  const linkOf = (links: Map<string, string>) => [...links][0] ?? ['', ''];

  it('opens the link, posts the walk by the filled form, and the board shows it met and the ask answered', async () => {
    const { links } = await sendAll();
    const [name, link] = linkOf(links);
    const visitor = name === 'Otto Blume' ? 'other leader' : 'co-leader';
    const page = plain((await cast.browser('nobody').get(link)).text);
    expect(page).toContain('Could you lead a walk?');
    const form = /href="(\/lead\/walks\/new\?[^"]+)"/.exec(page)?.[1] ?? '';
    expect((await cast.browser('nobody').get(form)).headers.location).toMatch(/^\/sign-in/);
    const browser = cast.browser(visitor);
    const filled = fieldsOf((await browser.get(form)).text);
    const date = stored()[0]?.date ?? '';
    expect([filled.area, filled.date]).toEqual(['lantern-hills', date]);
    expect(plain((await browser.get('/lead')).text)).toContain(`href="${link}"`);

    site.clock.now += 1000;
    const posted = await browser.post('/lead/walks/new', { ...filled, ...TYPED, intent: 'post' });
    expect([posted.status, posted.headers.location]).toEqual([303, expect.stringMatching(/^\/lead\/walks\/\d+$/)]);
    const coming = plain((await coordinator.get('/coordinate?area=lantern-hills&month=2026-12')).text);
    expect(coming).toContain('Asked loop');
    expect(await shown()).toMatch(/<a href="\/walks\/\d+">posted the walk<\/a>/);
    expect((await cast.browser('nobody').get(link)).text).toContain('You posted it. Thank you!');
    const board = plain((await coordinator.get('/coordinate?area=lantern-hills&month=2026-12')).text);
    expect(board).toContain('2 of 2');
    expect(board).not.toContain('asked for, no answer yet');
  });

  it('who says not this time is not proposed for it again, and can take that back', async () => {
    const { links } = await sendAll();
    const [name, link] = linkOf(links);
    const browser = cast.browser('nobody');
    await browser.get(link);
    const id = String(stored()[0]?.id);
    for (let time = 0; time < 2; time += 1) expect((await browser.post(link, { ask: id, answer: 'no' })).status).toBe(303);
    expect(stored()[0]).toMatchObject({ state: 'not this time', answeredAt: site.clock.now });
    const html = await shown();
    expect(html).toContain('not this time');
    expect(html).toContain('Ask 1 person');
    const options = [...html.matchAll(/<option value="\d+"[^>]*>([^:]+): own area/g)].map((found) => found[1]);
    expect(options).toHaveLength(2);
    expect(options).not.toContain(name);
    await browser.get(link);
    expect((await browser.post(link, { ask: id, answer: 'back' })).status).toBe(303);
    expect(stored()[0]).toMatchObject({ state: 'open', answeredAt: null });
  });

  it('who said not this time can not take that back once they lead no walks, nor where they were asked anew', async () => {
    const { links } = await sendAll();
    const [name, link] = linkOf(links);
    const browser = cast.browser('nobody');
    const [first] = stored();
    if (!first) throw new Error('nothing was asked');
    const back = async () => {
      await browser.get(link);
      expect((await browser.post(link, { ask: String(first.id), answer: 'back' })).status).toBe(303);
      return stored().map(({ state }) => state);
    };
    await browser.get(link);
    await browser.post(link, { ask: String(first.id), answer: 'no' });
    const { id: _, letterId: __, toPersonId, state: ___, answeredAt: ____, ...need } = first;
    const by = cast.ids.coordinator;
    const again = { to: toPersonId, by, note: '', at: site.clock.now + 1 };
    site.db.write((tx) => addLetter(tx, site.services.sealer, again, [need]));
    expect(await back()).toEqual(['not this time', 'open']);
    const person = site.db.q.select().from(people).where(eq(people.name, name)).get();
    site.db.write((tx) => {
      tx.update(asks).set({ state: 'ended', answeredAt: 1 }).where(eq(asks.state, 'open')).run();
      standDown(tx, person?.id ?? 0, by, site.clock.now);
    });
    expect(await back()).toEqual(['not this time', 'ended']);
  });

  it('finds that another walk is there, or that the day has passed', async () => {
    const { links } = await sendAll();
    const [name, link] = linkOf(links);
    const date = stored()[0]?.date ?? '';
    const other = name === 'Otto Blume' ? 'co-leader' : 'other leader';
    site.clock.now += 1000;
    saveNewWalk(site.services, walkFacts({ date }), cast.ids[other], 'posted');
    expect((await cast.browser('nobody').get(link)).text).toContain('Another walk is there meanwhile');
    const answer = await cast.browser('nobody').post(link, { ask: String(stored()[0]?.id), answer: 'no' });
    expect([answer.status, stored()[0]?.state]).toEqual([303, 'open']);
  });

  it('in two letters for two needs alike has posted one, and is asked for the other still', async () => {
    const query = '?from=2027-01&months=1';
    const bette = cast.ids['other leader'];
    const ask = (index: number, date: string) =>
      coordinator.post(PAGE + query, {
        ...{ 'rows[0][ask]': 'on', 'rows[0][need]': `1 2027-01 0 0${index}` },
        ...{ 'rows[0][leader]': String(bette), 'rows[0][date]': date },
      });
    await shown(query);
    for (const answer of [await ask(0, '2027-01-09'), await ask(1, '2027-01-16')]) expect(answer.status).toBe(303);
    site.clock.now += 1000;
    saveNewWalk(site.services, walkFacts({ date: '2027-01-23' }), bette, 'posted');
    const maker = mailMaker(site.services, site.views);
    const links = mails().map((row) => /http:\/\/[^/]+(\/asks\/[\w-]+)/.exec(maker.make(row).text)?.[1] ?? '');
    const pages = await Promise.all(links.map(async (link) => (await cast.browser('nobody').get(link)).text));
    expect(pages.map((text) => [text.includes('You posted it'), text.includes('Could you lead a walk?')])).toEqual([
      [true, false],
      [false, true],
    ]);
  });

  it('is shown the length that the plan has now, where it was edited after the mail', async () => {
    site.db.write((tx) => saveSettings(tx, { eventDay: '2027-06-12', eventDayMetres: 35_400, seasonWeeks: 16 }));
    const query = '?from=2027-04&months=1';
    const bette = cast.ids['other leader'];
    const row = {
      'rows[0][ask]': 'on',
      'rows[0][need]': '1 2027-04-05 2 0',
      'rows[0][leader]': String(bette),
      'rows[0][date]': '2027-04-10',
    };
    await shown(query);
    expect((await coordinator.post(PAGE + query, row)).status).toBe(303);
    const mail = mailMaker(site.services, site.views).make(mails()[0] as (typeof notices)['$inferSelect']).text;
    const lengthIn = (text: string) => /([\d.]+) miles wanted/.exec(text)?.[1];
    const seen = async () => lengthIn(plain((await cast.browser('nobody').get(/\/asks\/[\w-]+/.exec(mail)?.[0] ?? '')).text));
    // Their own page says so until the day itself.
    const letters = (today: string) => openLettersTo(site.db.q, bette, today).map(({ walks }) => walks);
    expect([letters('2027-04-09'), letters('2027-04-10')]).toEqual([[1], []]);
    const before = lengthIn(mail);
    expect([before !== undefined, await seen()]).toEqual([true, before]);
    site.db.write((tx) => saveSettings(tx, { eventDayMetres: 17_700 }));
    const after = await seen();
    expect([after !== undefined, after === before]).toEqual([true, false]);
  });

  it('is asked no more once they are stood down, and the mail that waits is not sent', async () => {
    const { links } = await sendAll();
    const [name, link] = linkOf(links);
    const person = site.db.q.select().from(people).where(eq(people.name, name)).get();
    await coordinator.get(`/coordinate/leaders/${person?.id}/stand-down`);
    expect((await coordinator.post(`/coordinate/leaders/${person?.id}/stand-down`, { sure: 'yes' })).status).toBe(303);
    expect(stored()[0]?.state).toBe('ended');
    expect((await cast.browser('nobody').get(link)).text).toContain('not asked for this any more');
  });

  it('is mailed while anything of the letter is wanted, and not after', async () => {
    await sendAll();
    const stands = () => {
      const [row] = mails();
      return row !== undefined && stillStands(site.db.q, { ...oweContext(site.services), now: site.clock.now }, row);
    };
    expect(stands()).toBe(true);
    // The number of another letter, in a database that was put back from a backup.
    const [mail] = mails();
    const other = mail && 'ask' in mail.content && { ask: { ...mail.content.ask, letter: { id: mail.content.ask.letter.id, madeAt: 1 } } };
    expect(mail && other && stillStands(site.db.q, oweContext(site.services), { ...mail, content: other })).toBe(false);
    const { id = 0 } = stored()[0] ?? {};
    site.db.write((tx) => endAsk(tx, id, 'not this time', site.clock.now));
    expect(stands()).toBe(false);
    site.db.write((tx) => tx.update(asks).set({ state: 'open', answeredAt: null }).run());
    // Any day of December will do: the last instant of the 30th in New York, and the first of the 31st, for which it is too late.
    site.clock.now = Date.UTC(2026, 11, 31, 5) - 1;
    expect(stands()).toBe(true);
    site.clock.now += 1;
    expect(stands()).toBe(false);
  });

  it('by a guessed address finds nothing, and by looking changes nothing', async () => {
    const { links } = await sendAll();
    const [, link] = linkOf(links);
    expect((await cast.browser('nobody').get('/asks/guessed')).status).toBe(404);
    const answer = await cast.browser('nobody').get(link);
    expect([answer.headers['cache-control'], answer.headers['referrer-policy']]).toEqual(['no-store', 'no-referrer']);
    expect(stored()[0]?.state).toBe('open');
    expect(site.db.q.select().from(askLetters).all()[0]?.tokenHash).not.toContain(link.split('/').at(-1));
  });
});
