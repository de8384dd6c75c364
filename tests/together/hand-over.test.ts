import { and, asc, eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { notices, walkChanges } from '../../server/db/schema/index.js';
import { oweReminders } from '../../server/notices/owe.js';
import { keepSignUp } from '../../server/signups/store.js';
import { oweContext, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { closeStage, DAY, HOUR } from '../notices/stage.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { parsed } from '../support/mail-sink.js';
import { signUpForm, withAbsent } from '../support/sign-up.js';
import { openTroupe, type Troupe } from './troupe.js';

let troupe: Troupe;
beforeEach(async () => {
  troupe = await openTroupe();
});
afterEach(() => closeStage(troupe));

const gatherAt = () => walkById(troupe.site.db.q, troupe.walkId)?.gatherAt ?? 0;
const mailsTo = async (address: string, from = 0) =>
  Promise.all(
    troupe.sink.mails
      .slice(from)
      .filter((mail) => mail.to.includes(address))
      .map(parsed),
  );

describe('a walk handed over', () => {
  it('has its new leader at once, who may do all a leader may, and the old one nothing', async () => {
    const token = troupe.ask('otto');
    const path = `/lead/walks/${troupe.walkId}`;
    expect((await troupe.as('otto').get(path)).status).toBe(403);
    expect(await troupe.answer(token, 'accept')).toContain('You lead this walk');
    expect(troupe.parts()).toBe('Otto leads');
    for (const page of ['', '/edit', '/pack', '/contacts', '/waivers', '/message']) {
      expect([page, (await troupe.as('otto').get(path + page)).status]).toEqual([page, 200]);
      expect([page, (await troupe.as('lena').get(path + page)).status]).toEqual([page, 403]);
    }
    expect((await troupe.as('otto').get(path)).text).toContain('given a new leader by Otto Blume');
    const versions = troupe.site.db.q.select().from(walkChanges).where(eq(walkChanges.walkId, troupe.walkId)).all();
    expect(versions.map((row) => row.kind)).toEqual(['posted', 'handed over']);
    expect(versions[1]?.facts).toEqual(versions[0]?.facts);
    expect(walkById(troupe.site.db.q, troupe.walkId)).toMatchObject({ version: 2, sequence: 0, moved: '' });
  });

  it('leaves the old leader sharing it only where that was ticked, and only while they are approved', async () => {
    await troupe.answer(troupe.ask('otto', { stays: true }), 'accept');
    expect(troupe.parts()).toBe('Otto leads, Lena shares');
    await troupe.answer(troupe.ask('lena', { by: 'otto', stays: false }), 'accept');
    expect(troupe.parts()).toBe('Lena leads');
    const token = troupe.ask('coe', { stays: true });
    troupe.site.db.raw.prepare("UPDATE leaders SET state = 'stood_down' WHERE person_id = ?").run(troupe.ids.lena);
    await troupe.answer(token, 'accept');
    expect(troupe.parts()).toBe('Coe leads');
  });

  it('changes the row of a co-leader who takes it', async () => {
    troupe.share('coe');
    await troupe.answer(troupe.ask('coe'), 'accept');
    expect(troupe.parts()).toBe('Coe leads');
  });

  it('is told once to each who comes or waits, with the new number, and in the calendar of those who come', async () => {
    const ana = troupe.signUp('ana@walkers.example');
    const many = troupe.signUp('bo@walkers.example', 'Bo', 12);
    await troupe.deliver();
    const before = troupe.sink.mails.length;
    const token = troupe.ask('otto');
    await troupe.answer(token, 'accept');
    await troupe.answer(token, 'accept');
    await troupe.deliver();
    expect([troupe.story(ana), troupe.story(many)]).toEqual(['confirmation sent, new-leader sent', 'waiting sent, new-leader sent']);
    const [anas, ...more] = await mailsTo('ana@walkers.example', before);
    expect(more).toEqual([]);
    expect(anas?.subject).toBe('New leader: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(anas?.text).toMatch(/before: Lena Marsh\n {2}now: {4}Otto Blume/);
    expect(anas?.text).toContain('+1 202 555 0120');
    expect(anas?.text).not.toContain('0110');
    const calendar = anas?.attachments.map((part) => part.content.toString()).join() ?? '';
    expect(calendar).toContain('METHOD:REQUEST');
    expect(calendar).toContain('SEQUENCE:0');
    expect(calendar.replace(/\r\n /g, '')).toContain('Leader: Otto Blume\\, +1 202 555 0120');
    const [bos] = await mailsTo('bo@walkers.example', before);
    expect(bos?.text).toContain('still on the waiting list');
    expect(bos?.attachments).toEqual([]);
    expect(troupe.told(ana)).toBe(1);
  });

  it('puts the new number into what had not gone out: a confirmation and a reminder', async () => {
    const ana = troupe.signUp('ana@walkers.example');
    await troupe.deliver();
    troupe.site.clock.now = gatherAt() - DAY;
    const { db, services } = troupe.site;
    db.write((tx) => oweReminders(tx, oweContext(services)));
    const bo = troupe.signUp('bo@walkers.example', 'Bo');
    await troupe.answer(troupe.ask('otto'), 'accept');
    await troupe.deliver();
    expect([troupe.story(ana), troupe.story(bo)]).toEqual([
      'confirmation sent, reminder sent, new-leader sent',
      'confirmation sent, new-leader sent',
    ]);
    const [, reminder] = await mailsTo('ana@walkers.example');
    const [confirmation] = await mailsTo('bo@walkers.example');
    for (const mail of [reminder, confirmation]) {
      expect(mail?.text).toContain('Otto Blume, +1 202 555 0120');
      expect(mail?.text).not.toContain('0110');
    }
  });

  it('is told to absent adults, and what waits for them has the new number', async () => {
    const { services, db } = troupe.site;
    db.write((tx) => keepSignUp(tx, services, troupe.walkId, signUpForm({ members: withAbsent() })));
    await troupe.deliver();
    const before = troupe.sink.mails.length;
    troupe.edit({ gather: '08:15' });
    await troupe.answer(troupe.ask('otto'), 'accept');
    troupe.pass(HOUR);
    await troupe.deliver();
    const mails = await mailsTo('ben@walkers.example', before);
    expect(mails.map((mail) => mail.subject)).toEqual([expect.stringMatching(/^New time: /), expect.stringMatching(/^New leader: /)]);
    expect(mails[1]?.text).toMatch(/Leader\n {2}before: Lena Marsh\n {2}now: {4}Otto Blume/);
    for (const mail of mails) expect(mail.text).toContain('Otto Blume, +1 202 555 0120');
  });

  it('twice before any mail went: the walker hears who leads now, instead of the leader they knew', async () => {
    const ana = troupe.signUp('ana@walkers.example');
    await troupe.deliver();
    await troupe.answer(troupe.ask('otto'), 'accept');
    await troupe.answer(troupe.ask('coe', { by: 'otto' }), 'accept');
    await troupe.deliver();
    expect(troupe.story(ana)).toBe('confirmation sent, new-leader replaced, new-leader sent');
    const [, mail] = await mailsTo('ana@walkers.example');
    expect(mail?.text).toMatch(/before: Lena Marsh\n {2}now: {4}Coe Lindgren/);
  });

  it('and back again before any mail went is told to nobody', async () => {
    const { services, db } = troupe.site;
    const ana = troupe.signUp('ana@walkers.example');
    db.write((tx) => keepSignUp(tx, services, troupe.walkId, signUpForm({ email: 'cy@walkers.example', members: withAbsent() })));
    await troupe.deliver();
    const before = troupe.sink.mails.length;
    await troupe.answer(troupe.ask('otto'), 'accept');
    await troupe.answer(troupe.ask('lena', { by: 'otto' }), 'accept');
    await troupe.deliver();
    expect(troupe.story(ana)).toBe('confirmation sent, new-leader replaced');
    expect([await mailsTo('ana@walkers.example', before), await mailsTo('ben@walkers.example', before)]).toEqual([[], []]);
  });

  it('as a draft is told to no walker', async () => {
    const draft = saveNewWalk(troupe.site.services, walkFacts({ routeName: 'Ridge' }), troupe.ids.lena, 'draft');
    await troupe.answer(troupe.ask('otto', { walkId: draft }), 'accept');
    expect(troupe.parts(draft)).toBe('Otto leads');
    const kinds = troupe.site.db.q.select({ kind: notices.kind }).from(notices).where(eq(notices.walkId, draft)).all();
    expect(kinds.map((row) => row.kind)).toEqual(['offer-answer']);
    expect((await troupe.as('lena').get(`/lead/walks/${draft}`)).status).toBe(404);
  });

  it('closes what others were asked, tells them, and whoever asked hears the answer', async () => {
    const [first, second] = [troupe.ask('otto'), troupe.ask('coe')];
    await troupe.deliver();
    expect(await troupe.answer(first, 'accept', 'Gladly')).toContain('You lead this walk');
    const late = await troupe.answer(second, 'accept');
    expect(late).toContain('<h1>Otto Blume leads it now</h1>');
    expect(late).not.toContain('<form method="post" action="/offers');
    expect(troupe.parts()).toBe('Otto leads');
    expect(troupe.mailTo('third@waymeet.example')).toEqual(['offer asked', 'leading taken']);
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['offer-answer accepted']);
    await troupe.deliver();
    const [answer] = await mailsTo('leader@waymeet.example');
    expect(answer?.subject).toBe('Otto Blume leads it now: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(answer?.text).toContain('They write: Gladly');
  });

  it('has one of two who accept at once', async () => {
    const tokens = [troupe.ask('otto'), troupe.ask('coe'), troupe.ask('ida')];
    const pages = await Promise.all(tokens.map((token) => troupe.answer(token, 'accept')));
    expect(pages.filter((page) => page.includes('<h1>You lead this walk</h1>'))).toHaveLength(1);
    const handed = and(eq(walkChanges.walkId, troupe.walkId), eq(walkChanges.kind, 'handed over'));
    expect(troupe.site.db.q.select().from(walkChanges).where(handed).all()).toHaveLength(1);
    expect(troupe.parts()).toMatch(/^\w+ leads$/);
  });

  it('refuses an edit form the old leader had open, and shows a co-leader the new version first', async () => {
    troupe.share('coe');
    const path = `/lead/walks/${troupe.walkId}/edit`;
    const [lena, coe] = [troupe.as('lena'), troupe.as('coe')];
    const fields = async (browser: typeof lena) => formFields((await browser.get(path)).text) as Record<string, string>;
    const [lenas, coes] = [await fields(lena), await fields(coe)];
    await troupe.answer(troupe.ask('otto'), 'accept');
    expect((await lena.post(path, { ...lenas, theme: 'Hats', intent: 'save' })).status).toBe(403);
    const conflict = await coe.post(path, { ...coes, theme: 'Hats', intent: 'save' });
    expect(conflict.status).not.toBe(303);
    const again = formFields(conflict.text) as Record<string, string>;
    expect([again.version, again.theme]).toEqual(['2', 'Hats']);
    expect((await coe.post(path, { ...again, intent: 'save' })).status).toBe(303);
    expect(walkById(troupe.site.db.q, troupe.walkId)).toMatchObject({ theme: 'Hats', version: 3 });
  });

  it('on the day goes before what waits for another try', async () => {
    const ana = troupe.signUp('ana@walkers.example');
    troupe.site.clock.now = gatherAt() - DAY;
    troupe.site.db.raw.prepare('UPDATE notices SET due_at = ?').run(troupe.site.clock.now + HOUR);
    await troupe.answer(troupe.ask('otto'), 'accept');
    const due = troupe.site.db.q.select().from(notices).where(eq(notices.signUpId, ana)).orderBy(asc(notices.id)).all();
    expect(due.map((row) => row.dueAt <= troupe.site.clock.now)).toEqual([true, true]);
  });
});
