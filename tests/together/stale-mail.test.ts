import { eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { notices, walkOffers } from '../../server/db/schema/index.js';
import { tryAgain, tryAllAgain } from '../../server/notices/again.js';
import type { NoticeKind } from '../../server/notices/content.js';
import { keepSignUp } from '../../server/signups/store.js';
import { withdrawOffer } from '../../server/together/offers.js';
import { oweContext } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { closeStage } from '../notices/stage.js';
import { parsed } from '../support/mail-sink.js';
import { signUpForm, withAbsent } from '../support/sign-up.js';
import { openTroupe, type Troupe } from './troupe.js';

let troupe: Troupe;
beforeEach(async () => {
  troupe = await openTroupe();
});
afterEach(() => closeStage(troupe));

const ofKind = (kind: NoticeKind) => troupe.site.db.q.select().from(notices).where(eq(notices.kind, kind)).all();

/** As if the mail server had refused all that waits of a kind; gives the number of the last. */
function fail(kind: NoticeKind, unsure = false): number {
  const { db, clock } = troupe.site;
  const ids = ofKind(kind).flatMap((row) => (row.state === 'pending' ? [row.id] : []));
  for (const id of ids)
    db.write((tx) => tx.update(notices).set({ state: 'failed', attempts: 1, endedAt: clock.now, unsure }).where(eq(notices.id, id)).run());
  return ids.at(-1) ?? 0;
}

const again = (id: number) => troupe.site.db.write((tx) => tryAgain(tx, oweContext(troupe.site.services), id));
const statesOf = (kind: NoticeKind) => ofKind(kind).map((row) => row.state);

describe('news of who leads that failed', () => {
  beforeEach(async () => {
    const { services, db } = troupe.site;
    db.write((tx) => keepSignUp(tx, services, troupe.walkId, signUpForm({ email: 'ana@walkers.example', members: withAbsent() })));
    await troupe.deliver();
    await troupe.answer(troupe.ask('otto'), 'accept');
  });

  it('is overtaken by a second hand-over, which starts from the leader they know', async () => {
    const [ana, ben] = [fail('new-leader'), fail('member-news')];
    await troupe.answer(troupe.ask('coe', { by: 'otto' }), 'accept');
    expect([statesOf('new-leader'), statesOf('member-news')]).toEqual([
      ['replaced', 'pending'],
      ['replaced', 'pending'],
    ]);
    const before = troupe.sink.mails.length;
    await troupe.deliver();
    expect([again(ana), again(ben)]).toEqual([false, false]);
    await tryAllAgain(troupe.site.services);
    await troupe.deliver();
    const mails = await Promise.all(troupe.sink.mails.slice(before).map(parsed));
    const news = mails.filter((mail) => mail.subject?.startsWith('New leader'));
    expect(news).toHaveLength(2);
    for (const mail of news) expect(mail.text).toMatch(/before: Lena Marsh\n {2}now: {4}Coe Lindgren/);
    expect(mails.map((mail) => mail.text).join()).not.toContain('Otto Blume leads your walk now');
  });

  it('and is put back is told of where it may have arrived, and not where it did not', async () => {
    fail('new-leader', true);
    fail('member-news');
    await troupe.answer(troupe.ask('lena', { by: 'otto' }), 'accept');
    expect([statesOf('new-leader'), statesOf('member-news')]).toEqual([['replaced', 'pending'], ['replaced']]);
    const [, back] = ofKind('new-leader').map((row) => row.content);
    expect(back).toMatchObject({ walk: { differences: [{ before: 'Otto Blume', after: 'Lena Marsh', afterId: troupe.ids.lena }] } });
  });

  it('from before the numbers is not tried again where another leads now, and is where they still do', async () => {
    const id = fail('new-leader');
    const [row] = ofKind('new-leader');
    if (!row || !('walk' in row.content)) throw new Error('nothing was owed');
    const { id: _, ...leader } = row.content.walk.leader;
    const set = (name: string) => {
      const walk = { ...(row.content as { walk: object }).walk, leader: { ...leader, name } };
      const content = { walk } as typeof row.content;
      troupe.site.db.write((tx) => tx.update(notices).set({ content, state: 'failed' }).where(eq(notices.id, id)).run());
    };
    set('Otto Blume');
    expect(again(id)).toBe(true);
    set('Lena Marsh');
    expect([again(id), statesOf('new-leader')]).toEqual([false, ['replaced']]);
  });
});

describe('a mail that asks', () => {
  const asked = () => troupe.mailTo('second@waymeet.example');

  it('does not go where it was answered before it left', async () => {
    const token = troupe.ask('otto');
    await troupe.answer(token, 'accept');
    expect(asked()).toEqual([]);
    await troupe.answer(troupe.ask('coe', { by: 'otto' }), 'decline');
    expect(troupe.mailTo('third@waymeet.example')).toEqual([]);
  });

  it('is not tried again once it is taken back or answered, and is while it is open', async () => {
    const { db, services } = troupe.site;
    troupe.ask('otto');
    const id = fail('offer');
    expect(again(id)).toBe(true);
    fail('offer');
    const walk = walkById(db.q, troupe.walkId);
    const [offer] = db.q.select().from(walkOffers).all();
    if (!walk || !offer) throw new Error('nothing was asked');
    withdrawOffer(services, walk, offer.id);
    expect([again(id), statesOf('offer')]).toEqual([false, ['replaced']]);
    const token = troupe.ask('coe');
    const second = fail('offer');
    await troupe.answer(token, 'decline');
    expect([again(second), statesOf('offer')]).toEqual([false, ['replaced', 'replaced']]);
  });

  it('says on the page of mail why it is not sent', async () => {
    const { db, services } = troupe.site;
    troupe.ask('otto');
    const id = fail('offer');
    const walk = walkById(db.q, troupe.walkId);
    if (walk) withdrawOffer(services, walk, 1);
    const answer = await troupe.as('cora').post(`/coordinate/mail/${id}/again`, {});
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('What it says is not so any more');
  });
});
