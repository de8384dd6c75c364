import { eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { redact } from '../../server/app.js';
import { leaders, notices, walkOffers } from '../../server/db/schema/index.js';
import { minutelyJobs } from '../../server/jobs.js';
import { mailMaker } from '../../server/notices/mail.js';
import { withdrawOffer } from '../../server/together/offers.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { closeStage } from '../notices/stage.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { parsed } from '../support/mail-sink.js';
import { openTroupe, type Troupe } from './troupe.js';

let troupe: Troupe;
let path: string;
beforeEach(async () => {
  troupe = await openTroupe();
  path = `/lead/walks/${troupe.walkId}/together`;
});
afterEach(() => closeStage(troupe));

const offers = () => troupe.site.db.q.select().from(walkOffers).all();
const states = () => offers().map((row) => row.state);
const walk = () => {
  const found = walkById(troupe.site.db.q, troupe.walkId);
  if (!found) throw new Error('no walk');
  return found;
};
const fields = (changed: Record<string, string> = {}) => ({
  intent: 'offer',
  kind: 'co-leader',
  person: String(troupe.ids.otto),
  note: '',
  ...changed,
});

describe('asking a leader', () => {
  it('mails them a link by which they answer, once, however often it is posted', async () => {
    const lena = troupe.as('lena');
    for (const _ of [1, 2]) {
      const answer = await lena.post(path, fields({ note: 'I am away,  that   day.' }));
      expect([answer.status, answer.headers.location]).toEqual([303, `${path}?done=offer`]);
    }
    expect((await lena.get(`${path}?done=offer`)).text).toContain('Otto Blume</b> <span class="soft">to share it');
    await troupe.deliver();
    expect(troupe.sink.mails.map((mail) => mail.to)).toEqual([['second@waymeet.example']]);
    const { subject, text = '' } = await parsed(troupe.sink.mails[0]);
    expect(subject).toBe('Would you share the 8-mile walk: Quarry Lakes loop, Lantern Hills?');
    expect(text).toContain('Lena Marsh writes: I am away, that day.');
    const link = /\/offers\/\S+/.exec(text)?.[0] ?? '';
    expect((await troupe.as('nobody').get(link)).text).toContain('Would you share this walk?');
  });

  it('refuses what cannot be, and keeps what was typed', async () => {
    troupe.share('coe');
    const lena = troupe.as('lena');
    const wrong = [
      [{ kind: '' }, 'Choose what you ask'],
      [{ person: '999' }, 'Choose a leader from the list'],
      [{ person: String(troupe.ids.lena) }, 'You cannot ask yourself'],
      [{ person: String(troupe.ids.coe) }, 'Coe Lindgren shares this walk already'],
      [{ person: String(troupe.ids.cora) }, 'Choose a leader from the list'],
    ] as const;
    for (const [changed, sentence] of wrong) {
      const answer = await lena.post(path, fields({ note: 'Please', ...changed }));
      expect(answer.status).toBe(422);
      expect(answer.text).toContain(sentence);
      expect(answer.text).toContain('<title>Error: ');
      expect(formFields(answer.text).note).toBe('Please');
    }
    expect(offers()).toEqual([]);
  });

  it('offers the leaders of the area first, those who are free that day, those with fewest walks that month', async () => {
    saveNewWalk(troupe.site.services, walkFacts({ routeName: 'Other' }), troupe.ids.otto, 'posted');
    // Nobody but Ida has led a walk that set off.
    const before = walkFacts({ routeName: 'Earlier', date: '2026-11-26' });
    saveNewWalk(troupe.site.services, before, troupe.ids.ida, 'posted');
    troupe.site.clock.now = before.setOffAt;
    const { text } = await troupe.as('lena').get(path);
    const options = [...text.matchAll(/<optgroup label="([^"]*)">|<option value="\d+">([^<]*)/g)].map((found) => found[1] ?? found[2]);
    expect(options).toEqual([
      'Lantern Hills: free that day',
      'Coe Lindgren (new; no walk in Dec)',
      'Lantern Hills: out on another walk that day',
      'Otto Blume (new; 1 walk in Dec)',
      'Other areas: free that day',
      'Ida Quist, East Fork (no walk in Dec)',
    ]);
  });

  it('is for the leader and the coordinators', async () => {
    troupe.share('coe');
    const { text } = await troupe.as('coe').get(path);
    expect(text).toContain('Step back');
    expect(text).not.toMatch(/Ask a leader|Take off|Make the leader/);
    expect((await troupe.as('coe').post(path, fields())).status).toBe(403);
    expect((await troupe.as('cora').post(path, fields())).status).toBe(303);
  });

  it('ends as the walk gathers', async () => {
    const lena = troupe.as('lena');
    troupe.site.clock.now = walk().gatherAt - 1;
    expect((await lena.get(path)).status).toBe(200);
    troupe.site.clock.now = walk().gatherAt;
    expect((await lena.get(path)).status).toBe(409);
    expect((await lena.post(path, fields())).status).toBe(409);
    expect((await lena.get(`/lead/walks/${troupe.walkId}`)).text).not.toContain(path);
  });
});

describe('the private address of an offer', () => {
  it('changes nothing when it is opened, and is kept by nobody', async () => {
    const token = troupe.ask('otto', { note: 'Would suit you' });
    const before = troupe.site.db.raw.prepare('SELECT total_changes()').pluck().get();
    const { text, headers } = await troupe.as('nobody').get(`/offers/${token}`);
    expect([headers['cache-control'], headers['referrer-policy']]).toEqual(['no-store', 'no-referrer']);
    expect(troupe.site.db.raw.prepare('SELECT total_changes()').pluck().get()).toBe(before);
    expect(text).toContain('Would suit you');
    expect(text).toContain('<b>0</b> of 12 places taken');
    expect(states()).toEqual(['open']);
    expect(redact(`/offers/${token}`)).toBe('/offers/…');
    expect(JSON.stringify(offers()) + JSON.stringify(troupe.site.db.q.select().from(notices).all())).not.toContain(token);
  });

  it('is not shown where a coordinator reads the mail', () => {
    const token = troupe.ask('otto');
    const { db, services, views } = troupe.site;
    const row = db.q.select().from(notices).where(eq(notices.kind, 'offer')).get();
    if (!row) throw new Error('no mail');
    const maker = mailMaker(services, views);
    expect(maker.make(row).text).toContain(token);
    const shown = maker.makeWithoutSecrets(row);
    expect(`${shown.text}${shown.html}`).not.toContain(token);
  });

  it('that is made up leads nowhere', async () => {
    troupe.ask('otto');
    const browser = troupe.as('nobody');
    expect((await browser.get('/offers/made-up')).status).toBe(404);
    expect((await browser.post('/offers/made-up', { answer: 'accept' })).status).toBe(404);
  });

  it('asks for one of two answers, and keeps what was typed', async () => {
    const token = troupe.ask('otto');
    const answer = await troupe.as('nobody').post(`/offers/${token}`, { words: `${'w'.repeat(300)}x` });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Press one of the two buttons.');
    expect(formFields(answer.text).words).toHaveLength(301);
    expect(states()).toEqual(['open']);
  });

  it('warns of another walk of theirs in the same hours, and of none that ends before', async () => {
    const early = walkFacts({ routeName: 'Dawn', gather: '05:00', setOff: '05:15', distanceMetres: 3000 });
    saveNewWalk(troupe.site.services, early, troupe.ids.otto, 'posted');
    const token = troupe.ask('otto');
    const page = async () => (await troupe.as('nobody').get(`/offers/${token}`)).text;
    expect(await page()).not.toContain('You are out on another walk then');
    saveNewWalk(troupe.site.services, walkFacts({ routeName: 'Mill', gather: '09:30', setOff: '09:45' }), troupe.ids.otto, 'posted');
    const text = await page();
    expect(text).toContain('You are out on another walk then');
    expect(text).toMatch(/Mill, Lantern Hills[\s\S]*9:30/);
    expect(text).not.toContain('Dawn');
  });

  it('is also on the own page of who is asked, and on nobody else’s', async () => {
    const token = troupe.ask('otto');
    expect((await troupe.as('otto').get('/lead')).text).toContain(`/offers/${token}`);
    expect((await troupe.as('coe').get('/lead')).text).not.toContain('Asked of you');
    await troupe.answer(token, 'decline');
    expect((await troupe.as('otto').get('/lead')).text).not.toContain('Asked of you');
  });
});

describe('an answer', () => {
  it('shares the walk, tells who asked, and counts once', async () => {
    const token = troupe.ask('otto', { kind: 'co-leader' });
    expect(await troupe.answer(token, 'accept', 'Yes!')).toContain('<h1>You share this walk</h1>');
    expect(await troupe.answer(token, 'decline')).toContain('<h1>You share this walk</h1>');
    expect(troupe.parts()).toBe('Lena leads, Otto shares');
    expect((await troupe.as('otto').get(`/lead/walks/${troupe.walkId}`)).text).toContain('<b>Otto Blume</b> shares it.');
    expect(walk().version).toBe(1);
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['offer-answer accepted']);
    expect(offers()).toMatchObject([{ state: 'accepted', words: 'Yes!', endedAt: troupe.site.clock.now }]);
  });

  it('to a coordinator is told to the leader, too', async () => {
    await troupe.answer(troupe.ask('otto', { kind: 'co-leader', by: 'cora' }), 'accept');
    expect(troupe.mailTo('coordinator@waymeet.example')).toEqual(['offer-answer accepted']);
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leading shared']);
    await troupe.answer(troupe.ask('coe', { by: 'cora' }), 'accept');
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leading shared', 'leading handed on']);
  });

  it('of no thanks leaves all as it was, and the same can be asked again', async () => {
    const token = troupe.ask('otto');
    expect(await troupe.answer(token, 'decline', 'Away')).toContain('<h1>You said no thanks</h1>');
    expect(troupe.parts()).toBe('Lena leads');
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['offer-answer declined']);
    const again = troupe.ask('otto');
    expect(again).not.toBe(token);
    expect(await troupe.answer(token, 'accept')).toContain('<h1>You said no thanks</h1>');
    expect(await troupe.answer(again, 'accept')).toContain('<h1>You lead this walk</h1>');
  });

  it('is too late once it was taken back; who had heard of it is told', async () => {
    const [unheard, heard] = [troupe.ask('coe'), troupe.ask('otto')];
    troupe.site.db.raw.prepare("UPDATE notices SET state = 'sent', ended_at = 1 WHERE to_email = 'second@waymeet.example'").run();
    for (const offer of offers()) withdrawOffer(troupe.site.services, walk(), offer.id);
    for (const token of [unheard, heard]) expect(await troupe.answer(token, 'accept')).toContain('Lena Marsh has taken the question back');
    expect(troupe.mailTo('second@waymeet.example')).toEqual(['offer asked', 'leading withdrawn']);
    expect(troupe.mailTo('third@waymeet.example')).toEqual([]);
    expect(troupe.parts()).toBe('Lena leads');
  });

  it('is too late once the walk is cancelled', async () => {
    const token = troupe.ask('otto');
    await troupe.deliver();
    cancelWalk(troupe.site.services, troupe.walkId, troupe.ids.lena, { kind: 'other', reason: 'Ice' });
    expect(states()).toEqual(['closed']);
    expect(await troupe.answer(token, 'accept')).toContain('<h1>This walk is cancelled</h1>');
    expect(troupe.parts()).toBe('Lena leads');
    expect(troupe.mailTo('second@waymeet.example')).toEqual(['offer asked', 'leading cancelled']);
  });

  it('counts until the walk gathers, and not at that instant', async () => {
    const [first, second] = [troupe.ask('otto', { kind: 'co-leader' }), troupe.ask('coe', { kind: 'co-leader' })];
    troupe.site.clock.now = walk().gatherAt - 1;
    minutelyJobs(troupe.site.services)();
    expect(states()).toEqual(['open', 'open']);
    expect(await troupe.answer(first, 'accept')).toContain('You share this walk');
    troupe.site.clock.now = walk().gatherAt;
    expect(await troupe.answer(second, 'accept')).toContain('<h1>It is too late for this</h1>');
    minutelyJobs(troupe.site.services)();
    expect(states()).toEqual(['accepted', 'closed']);
    expect(troupe.parts()).toBe('Lena leads, Otto shares');
  });

  it('is not taken from who was stood down; who asked is told, and can ask another', async () => {
    const token = troupe.ask('otto');
    await troupe.as('cora').post(`/coordinate/leaders/${troupe.ids.otto}/stand-down`);
    expect(states()).toEqual(['closed']);
    expect(await troupe.answer(token, 'accept')).toContain('<h1>You lead no walks any more</h1>');
    expect(troupe.parts()).toBe('Lena leads');
    expect(troupe.mailTo('leader@waymeet.example')).toEqual(['leading left']);
  });
});

describe('a link whose question has ended', () => {
  const EVERY = ['Ridge in progress', 'Weir car park', 'Lantern Hills'];

  it('shows nothing of a draft any more, however it ended, and all of it while it is open or accepted', async () => {
    const { site, ids } = troupe;
    const draft = saveNewWalk(site.services, walkFacts({ routeName: 'Ridge in progress' }), ids.lena, 'draft');
    const shown = async (token: string) => {
      const { status, text } = await troupe.as('nobody').get(`/offers/${token}`);
      return [status, ...EVERY.map((words) => text.includes(words))];
    };
    const token = troupe.ask('otto', { walkId: draft });
    expect(await shown(token)).toEqual([200, true, true, true]);
    const row = walkById(site.db.q, draft);
    if (row) withdrawOffer(site.services, row, offers()[0]?.id ?? 0);
    expect(await shown(token)).toEqual([200, false, false, false]);
    const declined = troupe.ask('coe', { walkId: draft });
    await troupe.answer(declined, 'decline');
    expect(await shown(declined)).toEqual([200, false, false, false]);
    const [first, second] = [troupe.ask('otto', { walkId: draft }), troupe.ask('ida', { walkId: draft })];
    await troupe.answer(first, 'accept');
    expect(await shown(first)).toEqual([200, true, true, true]);
    expect(await shown(second)).toEqual([200, false, false, false]);
  });
});

describe('a leader whose agreement is due', () => {
  it('can be asked for a posted walk and take it; who asks sees it beside the name, and they are told', async () => {
    const { db, clock } = troupe.site;
    const due = (at: number) =>
      db.write((tx) => tx.update(leaders).set({ agreementDueAt: at }).where(eq(leaders.personId, troupe.ids.otto)).run());
    const choice = async () => /Otto Blume[^<]*/.exec((await troupe.as('lena').get(path)).text)?.[0];
    due(clock.now + 1);
    expect(await choice()).not.toContain('agreement due');
    due(clock.now);
    expect(await choice()).toMatch(/; agreement due\)/);
    const token = troupe.ask('otto');
    expect((await troupe.as('nobody').get(`/offers/${token}`)).text).toContain(
      'agreement is due.</b> You can take this walk on all the same',
    );
    await troupe.answer(token, 'accept');
    expect(troupe.parts()).toBe('Otto leads');
  });
});
