import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { askLetters, asks, type notices, people } from '../../server/db/schema/index.js';
import { standDown } from '../../server/leaders/store.js';
import { mailMaker } from '../../server/notices/mail.js';
import { stillStands } from '../../server/notices/stands.js';
import { addLetter, endAsk, openLettersTo } from '../../server/proposals/asks-store.js';
import { saveSettings } from '../../server/settings/store.js';
import { oweContext, saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { cast, coordinator, fieldsOf, mails, open, PAGE, plain, sendAll, shown, site, stored, TYPED } from './stage.js';

beforeEach(() => open());

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
