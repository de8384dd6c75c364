import { eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { notices, people, walkOffers } from '../../server/db/schema/index.js';
import { eraseAddress } from '../../server/privacy/erase.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { closeStage } from '../notices/stage.js';
import { walkFacts } from '../support/cast.js';
import { openTroupe, type Troupe } from './troupe.js';

let troupe: Troupe;
let path: string;
beforeEach(async () => {
  troupe = await openTroupe();
  path = `/lead/walks/${troupe.walkId}/together`;
});
afterEach(() => closeStage(troupe));

const person = (who: keyof Troupe['ids']) => String(troupe.ids[who]);
const standDown = (who: keyof Troupe['ids']) => troupe.as('cora').post(`/coordinate/leaders/${troupe.ids[who]}/stand-down`);

describe('a co-leader', () => {
  it('is taken off by the leader, told once, and has no access any more', async () => {
    troupe.share('coe');
    for (const _ of [1, 2]) expect((await troupe.as('lena').post(path, { intent: 'remove', person: person('coe') })).status).toBe(303);
    expect(troupe.parts()).toBe('Lena leads');
    expect(troupe.mailTo('third@waymeet.example')).toEqual(['leading removed']);
    expect((await troupe.as('coe').get(path)).status).toBe(403);
  });

  it('steps back, and the leader hears of it', async () => {
    troupe.share('coe');
    const answer = await troupe.as('coe').post(path, { intent: 'step-back' });
    expect(answer.headers.location).toBe('/lead');
    expect(troupe.parts()).toBe('Lena leads');
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leading stepped back']);
    expect((await troupe.as('coe').post(path, { intent: 'step-back' })).status).toBe(403);
  });

  it('never takes the leader off, nor does a leader step back and leave a walk without one', async () => {
    troupe.share('coe');
    await troupe.as('lena').post(path, { intent: 'step-back' });
    await troupe.as('lena').post(path, { intent: 'remove', person: person('lena') });
    await troupe.as('cora').post(path, { intent: 'remove', person: person('lena') });
    expect(troupe.parts()).toBe('Lena leads, Coe shares');
    expect((await troupe.as('coe').post(path, { intent: 'remove', person: person('coe') })).status).toBe(403);
  });

  it('is made leader by a coordinator at once; both are told, and so are the walkers', async () => {
    troupe.share('coe');
    const ana = troupe.signUp('ana@walkers.example');
    expect((await troupe.as('lena').post(path, { intent: 'lead', person: person('coe') })).status).toBe(422);
    expect((await troupe.as('cora').get(path)).text).toContain('Make the leader');
    for (const _ of [1, 2]) expect((await troupe.as('cora').post(path, { intent: 'lead', person: person('coe') })).status).toBe(303);
    expect(troupe.parts()).toBe('Coe leads, Lena shares');
    expect(troupe.mailTo('third@waymeet.example')).toEqual(['leading made leader']);
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leading handed on']);
    expect(troupe.story(ana)).toBe('confirmation pending, new-leader pending');
    expect((await troupe.as('lena').get(`/lead/walks/${troupe.walkId}`)).text).toContain('given a new leader by Cora Danner');
  });

  it('who is stood down, or shares nothing, is made leader by nobody', async () => {
    troupe.share('coe');
    await standDown('coe');
    expect((await troupe.as('cora').get(path)).text).not.toContain('Make the leader');
    for (const who of ['coe', 'otto'] as const) await troupe.as('cora').post(path, { intent: 'lead', person: person(who) });
    expect(troupe.parts()).toBe('Lena leads, Coe shares');
  });
});

describe('a walk whose leader is gone', () => {
  it('is on the board at once, and asks the coordinator first of all for another leader', async () => {
    const board = async () => (await troupe.as('cora').get('/coordinate')).text;
    expect(await board()).not.toContain('Walks without a leader');
    await standDown('lena');
    expect(await board()).toContain(`href="${path}"`);
    const { text } = await troupe.as('cora').get(path);
    expect(text).toContain('This walk needs a leader.');
    expect(text).toMatch(/value="hand-over" checked/);
    expect(text).not.toContain('name="stays"');
    await troupe.answer(troupe.ask('otto', { by: 'cora' }), 'accept');
    expect(troupe.parts()).toBe('Otto leads');
    expect(await board()).not.toContain('Walks without a leader');
    // That they no longer lead, and nothing of who leads now.
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leader-left']);
  });

  it('has one button that stands out: of who shares it already, or to ask', async () => {
    await standDown('lena');
    const standing = async () =>
      [...(await troupe.as('cora').get(path)).text.matchAll(/<button class="do"[^>]*value="([\w-]+)"/g)].map((one) => one[1]);
    expect(await standing()).toEqual(['offer']);
    for (const who of ['coe', 'otto'] as const) troupe.share(who);
    expect(await standing()).toEqual(['lead']);
  });

  it('is there, too, where the leader was shut out', async () => {
    const { db } = troupe.site;
    db.write((tx) => tx.update(people).set({ disabledAt: 1 }).where(eq(people.id, troupe.ids.lena)).run());
    expect((await troupe.as('cora').get('/coordinate')).text).toContain(`href="${path}"`);
    expect((await troupe.as('cora').get(path)).text).toContain('This walk needs a leader.');
  });

  it('keeps what that leader had asked others: whoever says yes has it', async () => {
    const token = troupe.ask('otto', { stays: true });
    await standDown('lena');
    await troupe.answer(token, 'accept');
    expect(troupe.parts()).toBe('Otto leads');
  });
});

describe('erasing oneself', () => {
  it('while leading a coming walk is refused, with the ways out of it', async () => {
    const { text } = await troupe.as('lena').get('/me/erase');
    expect(text).toContain(`<a href="${path}">hand it over</a> or <a href="/lead/walks/${troupe.walkId}/cancel">cancel it</a>`);
  });

  it('closes what is open of somebody, takes note and words, and their name out of the mail about it', async () => {
    const { db, services } = troupe.site;
    const other = saveNewWalk(services, walkFacts({ routeName: 'Mill' }), troupe.ids.coe, 'posted');
    const asked = troupe.ask('otto', { note: 'Dear Otto' });
    troupe.ask('ida', { by: 'otto', walkId: other, kind: 'co-leader', note: 'Come along' });
    await troupe.answer(troupe.ask('otto', { kind: 'co-leader' }), 'decline', 'I have a bad knee');
    db.write((tx) => eraseAddress(tx, services, 'second@waymeet.example', services.now()));
    const rows = db.q.select().from(walkOffers).all();
    expect(rows.map((row) => [row.state, row.note, row.words])).toEqual([
      ['closed', '', ''],
      ['closed', '', ''],
      ['declined', '', ''],
    ]);
    const mail = JSON.stringify(db.q.select().from(notices).all());
    for (const gone of ['Otto', 'Dear', 'Come along', 'knee']) expect([gone, mail.includes(gone)]).toEqual([gone, false]);
    expect((await troupe.as('nobody').get(`/offers/${asked}`)).status).toBe(404);
  });

  it('takes the name of a former leader out of mail about a walk they handed over, though their number has changed since', async () => {
    troupe.signUp('ana@walkers.example');
    await troupe.deliver();
    await troupe.answer(troupe.ask('otto'), 'accept');
    const { db, services } = troupe.site;
    db.write((tx) => {
      tx.update(people).set({ phone: '+12025550199' }).where(eq(people.id, troupe.ids.lena)).run();
      eraseAddress(tx, services, 'leader@waymeet.example', services.now());
    });
    expect(JSON.stringify(db.q.select().from(notices).all())).not.toContain('Lena');
  });
});

it('what one asked and was asked is in /me.json, both ways', async () => {
  await troupe.answer(troupe.ask('otto', { note: 'Please', stays: true }), 'decline', 'Away');
  const of = async (who: 'lena' | 'otto') => ((await troupe.as(who).get('/me.json')).body as { offers: unknown[] }).offers;
  const same = { kind: 'hand-over', note: 'Please', words: 'Away', leaderStays: true, state: 'declined' };
  expect(await of('lena')).toMatchObject([{ ...same, askedOf: 'someone else' }]);
  expect(await of('otto')).toMatchObject([{ ...same, askedOf: 'you' }]);
});
