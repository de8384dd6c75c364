import { eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { auditLog, leaders, notices, walkOffers, walks } from '../../server/db/schema/index.js';
import { sendMessage } from '../../server/messages/store.js';
import { eraseAtOwnWish } from '../../server/privacy/erase-self.js';
import { keepSignUp } from '../../server/signups/store.js';
import { answerOffer, makeOffer } from '../../server/together/offers.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast } from '../support/cast.js';
import { askedToken } from '../support/offer.js';
import { signUpForm } from '../support/sign-up.js';

const LENA = 'leader@waymeet.example';
const COE = 'third@waymeet.example';

function handOverToOtto({ db, services }: TestSite, cast: Cast): void {
  const asked = { kind: 'hand-over', toPersonId: cast.ids['other leader'], stays: false, note: '' } as const;
  makeOffer(services, cast.walkId, cast.ids.leader, asked);
  answerOffer(services, db.q.select().from(walkOffers).all().at(-1)?.id ?? 0, { accept: true, words: '' });
}

/** Which of some words stand anywhere in the database. */
function left({ db }: TestSite, words: string[]): string[] {
  const tables = db.raw.prepare("SELECT name FROM sqlite_master WHERE type = 'table'").pluck().all() as string[];
  const rows = tables.flatMap((table) =>
    db.raw
      .prepare(`SELECT * FROM "${table}"`)
      .all()
      .map((row) => `${table} ${JSON.stringify(row)}`),
  );
  return words.flatMap((word) => rows.filter((row) => row.includes(word)).map((row) => `${word}: ${row.slice(0, 60)}`));
}

it('leaves neither the old name nor the old number of a leader or writer who was renamed', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const { db, services } = site;
  db.write((tx) => keepSignUp(tx, services, cast.walkId, signUpForm({ email: 'ana@walkers.example' })));
  const coe = { id: cast.ids['co-leader'], name: 'Coe Lindgren', email: COE };
  sendMessage(services, cast.walkId, { subject: 'Hi', text: 'Bring a hat. Coe Lindgren' }, coe);
  db.write((tx) => tx.update(notices).set({ state: 'sent', endedAt: 1 }).run());
  handOverToOtto(site, cast);
  for (const [name, email] of [
    ['Coe Married', COE],
    ['Lena Married', LENA],
  ] as const) {
    const fields = { name, email, phone: '+12025550199', area: 'lantern-hills', pledge: '1' };
    expect((await cast.browser('coordinator').post('/coordinate/leaders', fields)).status).toBe(303);
  }
  expect(left(site, ['Lena Marsh', 'Coe Lindgren']).length).toBeGreaterThan(3);
  eraseAtOwnWish(services, { id: cast.ids['co-leader'], email: COE });
  eraseAtOwnWish(services, { id: cast.ids.leader, email: LENA });
  expect(left(site, ['Coe', 'Lena', LENA, COE, '2025550199'])).toEqual([]);
  // Who leads now has the number the old leader had: the mail about them keeps it.
  const [news] = db.q.select().from(notices).where(eq(notices.kind, 'new-leader')).all();
  expect(news?.content).toMatchObject({
    walk: { leader: { name: 'Otto Blume', phone: '+12025550110' }, differences: [{ before: '[name erased]', after: 'Otto Blume' }] },
  });
  const [confirmation] = db.q.select().from(notices).where(eq(notices.kind, 'confirmation')).all();
  expect(confirmation?.content).toMatchObject({ walk: { leader: { name: '[name erased]', phone: null } } });
});

it('tells whoever asked the erased leader something, and the coordinators, without the name', async () => {
  const site = await openSite();
  const cast = layCast(site);
  askedToken(site, cast);
  eraseAtOwnWish(site.services, { id: cast.ids['other leader'], email: 'second@waymeet.example' });
  const mails = site.db.q.select().from(notices).all();
  expect(mails.map(({ kind, toEmail }) => `${kind} ${toEmail}`)).toEqual([`leading ${LENA}`, 'leader-left coordinator@waymeet.example']);
  expect(mails[0]?.content).toMatchObject({ together: { news: 'left', by: { name: '[name erased]' } } });
  expect(left(site, ['Otto', 'second@'])).toEqual([]);
});

it('discards the drafts they led alone, with a line in the log, and leaves those that are shared', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const { db, services } = site;
  handOverToOtto(site, cast);
  db.raw.prepare("DELETE FROM walk_leaders WHERE walk_id = ? AND part = 'co-leader'").run(cast.draftId);
  const lines = () => db.q.select().from(auditLog).where(eq(auditLog.action, 'discarded a draft of an erased leader')).all();
  eraseAtOwnWish(services, { id: cast.ids.leader, email: LENA });
  expect(db.q.select().from(walks).where(eq(walks.id, cast.draftId)).get()?.state).toBe('cancelled');
  expect(lines().map((line) => line.subject)).toEqual([`walk:${cast.draftId}`]);
});

it('is told to nobody where they led no more', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const id = cast.ids['other leader'];
  site.db.write((tx) => tx.update(leaders).set({ state: 'stood_down' }).where(eq(leaders.personId, id)).run());
  eraseAtOwnWish(site.services, { id, email: 'second@waymeet.example' });
  expect(site.db.q.select().from(notices).all()).toEqual([]);
});
