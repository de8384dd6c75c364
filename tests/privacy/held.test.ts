import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { keepForNext } from '../../server/contacts/kept.js';
import { openContacts } from '../../server/contacts/open.js';
import { auditLog, emergencyContacts, excusedMonths, partyMembers, waivers, walks } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import { textInForce } from '../../server/texts/store.js';
import { waiverDocument } from '../../server/waivers/document.js';
import { walkById } from '../../server/walks/store.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast } from '../support/cast.js';
import { contact, member, signUpForm } from '../support/sign-up.js';

const HOUR_MS = 60 * 60_000;
const WALKER = 'walker@waymeet.example';
const OTHER = 'other@waymeet.example';

let site: TestSite;
let cast: Cast;

beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
  // Wendel books himself and Olive, who signs by a link of her own.
  const members = ['Wendel Ames', 'Olive Reed'].map((name) =>
    member({ name, contact: { ...contact(), name: `${name}'s sister`, note: `Note of ${name}` } }),
  );
  const form = signUpForm({ email: WALKER, name: 'Wendel Ames', members });
  site.db.write((tx) => {
    keepSignUp(tx, site.services, cast.walkId, form);
    tx.update(partyMembers).set({ email: OTHER }).where(eq(partyMembers.name, 'Olive Reed')).run();
  });
});

function memberOf(name: string): number {
  return site.db.q.select().from(partyMembers).where(eq(partyMembers.name, name)).get()?.id ?? 0;
}

/** The walk's leader opens everyone's emergency details. @param before how long before it gathers, ms */
function open(before = HOUR_MS, reason: 'hurt' | 'sheet' = 'hurt'): void {
  const walk = walkById(site.db.q, cast.walkId);
  if (!walk) throw new Error('no walk');
  site.clock.now = walk.gatherAt - before;
  openContacts(site.services, walk, { as: 'leader', by: cast.ids.leader, member: null, reason, why: null });
}

describe('the page about oneself', () => {
  it('shows the party, until when contacts are kept, the waivers, the mail', async () => {
    const { text } = await cast.browser('walker').get('/me');
    expect(text).toContain('Coming, 2 people: Wendel Ames, Olive Reed');
    expect(text).toContain('Emergency contacts sealed for Wendel Ames, until Wed, Jan 6, 2027');
    expect(text).toContain('href="/me/waivers/1"');
    expect(text).toContain('Confirmation: Quarry Lakes loop');
    expect(text).toContain('Nobody has opened an emergency contact of yours.');
    expect(text).not.toContain('sister');
  });

  it('shows an absent adult their place in a party that somebody else booked, without its private page', async () => {
    const { text } = await cast.browser('other walker').get('/me');
    expect(text).toContain('Coming, 1 person: Olive Reed. Booked by Wendel Ames');
    expect(text).toContain('Emergency contacts sealed for Olive Reed, until');
    expect(text).not.toContain('/sign-ups/');
  });

  it('tells who opened their own emergency contact, when and why, and of nobody else’s', async () => {
    open();
    const { text } = await cast.browser('walker').get('/me');
    expect(text).toContain('<b>Lena Marsh</b> opened those of Wendel Ames');
    expect(text).toContain('someone is hurt or ill');
    expect(text).not.toContain('opened those of Olive Reed');
    expect((await cast.browser('other walker').get('/me')).text).toContain('opened those of Olive Reed');
  });

  it('tells of the sheet once a day, however often it was printed', async () => {
    const times = [20 * HOUR_MS, HOUR_MS, HOUR_MS - 1, HOUR_MS - 2];
    for (const before of times) open(before, 'sheet');
    open();
    const { text } = await cast.browser('walker').get('/me');
    expect(text.match(/opened those of Wendel Ames[^<]*/g)).toEqual([
      'opened those of Wendel Ames, 3 times',
      'opened those of Wendel Ames',
      'opened those of Wendel Ames',
    ]);
    expect((await cast.browser('walker').get('/me.json')).body.emergencyDetailsOpened).toHaveLength(5);
  });

  it('says when an absent adult agreed to which rules', async () => {
    const words = 'You agreed to version 1 of the rules on Wed, Nov 25, 2026';
    expect((await cast.browser('other walker').get('/me')).text).not.toContain('You agreed to version');
    const rules = textInForce(site.db.q, 'rules');
    site.db.write((tx) =>
      tx.update(partyMembers).set({ rulesAgreedAt: NOON, rulesTextId: rules.id }).where(eq(partyMembers.name, 'Olive Reed')).run(),
    );
    expect((await cast.browser('other walker').get('/me')).text).toContain(words);
    const { body } = await cast.browser('other walker').get('/me.json');
    expect(body.partiesOfOthers[0].member).toMatchObject({ rulesAgreed: '2026-11-25T12:00:00.000Z', rulesVersion: 1 });
  });

  it('says that the contacts of a cancelled walk go so long after the cancelling', async () => {
    site.db.write((tx) =>
      tx
        .update(walks)
        .set({ state: 'cancelled', cancelKind: 'other', cancelReason: 'Ice', cancelledAt: NOON })
        .where(eq(walks.id, cast.walkId))
        .run(),
    );
    const words = (name: string) => `Emergency contacts sealed for ${name}, until Fri, Dec 25, 2026`;
    expect((await cast.browser('walker').get('/me')).text).toContain(words('Wendel Ames'));
    expect((await cast.browser('other walker').get('/me')).text).toContain(words('Olive Reed'));
  });

  it('shows a leader what is kept of them, and what they did', async () => {
    site.db.write((tx) => tx.insert(excusedMonths).values({ personId: cast.ids.leader, month: '2026-12', reason: 'Away' }).run());
    open();
    const { text } = await cast.browser('leader').get('/me');
    expect(text).toContain('Leader in Lantern Hills, since Nov 2026.');
    expect(text).toContain('1 a month from Nov 2026');
    expect(text).toContain('Dec 2026 (Away)');
    expect(text).toContain(`href="/lead/walks/${cast.walkId}"`);
    expect(text).toContain('opened emergency details');
    expect((await cast.browser('walker').get('/me')).text).not.toContain('What you lead');
  });
});

describe('a waiver', () => {
  it('is read by its signer, and saved to the last character, and by nobody else', async () => {
    const shown = await cast.browser('walker').get('/me/waivers/1');
    const answer = await cast.browser('walker').get('/me/waivers/1?save=1');
    expect(answer.headers['content-type']).toBe('text/plain; charset=utf-8');
    expect(answer.headers['content-disposition']).toBe('attachment; filename="waiver-1.txt"');
    expect([shown.headers['cache-control'], answer.headers['cache-control']]).toEqual(['no-store', 'no-store']);
    const row = site.db.q.select().from(waivers).where(eq(waivers.id, 1)).get();
    const text = site.db.q.query.texts.findFirst({ where: (one, { eq: is }) => is(one.id, row?.textId ?? 0) }).sync();
    if (!row || !text) throw new Error('no waiver');
    expect(answer.text).toBe(waiverDocument({ ...row, text }, row.format));
    expect(shown.headers['content-type']).toContain('text/html');
    expect(shown.headers['content-disposition']).toBeUndefined();
    for (const seen of ['<pre class="mail">WAIVER\nFor: Wendel Ames\n', row.documentSha256, 'href="/me/waivers/1?save=1"'])
      expect(shown.text).toContain(seen);
    for (const id of ['2', '99', 'x', '9999999999999999999999']) {
      const own =
        site.db.q
          .select()
          .from(waivers)
          .where(eq(waivers.id, Number(id) || 0))
          .get()?.email === OTHER;
      for (const save of ['', '?save=1'])
        expect([id, (await cast.browser('other walker').get(`/me/waivers/${id}${save}`)).status]).toEqual([id, own ? 200 : 404]);
    }
    expect((await cast.browser('coordinator').get('/me/waivers/1')).status).toBe(404);
  });
});

describe('the file with everything', () => {
  beforeEach(() => {
    site.db.write((tx) =>
      keepForNext(tx, site.services.sealer, { personId: cast.ids.walker, forName: 'Wim', contact: contact(), now: NOON }),
    );
  });

  it('shows on the page what is kept for next time, by relation and last digits, with a way to forget it', async () => {
    const { text } = await cast.browser('walker').get('/me');
    expect(text).toContain('For <b>Wim</b>: brother, number ending 88');
    expect(text).toContain('until Thu, Nov 25, 2027');
    expect(text).toContain('action="/me/contacts/1/forget"');
  });

  it('opens own emergency contacts and those kept, and writes that down', async () => {
    const answer = await cast.browser('walker').post('/me/export');
    expect(answer.status).toBe(200);
    expect(answer.headers['content-disposition']).toBe('attachment; filename="about-me-2026-11-25.json"');
    expect(answer.headers['cache-control']).toBe('no-store');
    const [own, absent] = answer.body.signUps[0].members;
    expect(own.emergencyContact).toMatchObject({ name: "Wendel Ames's sister", phone: '+12025550188', note: 'Note of Wendel Ames' });
    expect(absent).toMatchObject({ name: 'Olive Reed', signsAt: OTHER, emergencyContact: 'sealed: they can open it themselves' });
    expect(answer.body.keptContacts).toMatchObject([{ for: 'Wim', contact: { name: 'Rui Ferreira' } }]);
    const log = site.db.q.select().from(auditLog).where(eq(auditLog.action, 'exported own details')).all();
    expect(log).toMatchObject([{ personId: cast.ids.walker, subject: `person:${cast.ids.walker}`, at: NOON }]);
  });

  it('leaves the contact of an adult who signs by a link of their own to them alone', async () => {
    expect((await cast.browser('walker').post('/me/export')).text).not.toContain('Note of Olive Reed');
    const hers = await cast.browser('other walker').post('/me/export');
    expect(hers.body.partiesOfOthers[0].member.emergencyContact).toMatchObject({ note: 'Note of Olive Reed' });
    expect(hers.text).not.toContain('Note of Wendel Ames');
  });

  it('does not even open it for the booker', async () => {
    const broken = { sealed: Buffer.from('broken') };
    site.db.write((tx) =>
      tx
        .update(emergencyContacts)
        .set(broken)
        .where(eq(emergencyContacts.memberId, memberOf('Olive Reed')))
        .run(),
    );
    // Had it been opened, the log would say that it does not open, and fail this test.
    expect((await cast.browser('walker').post('/me/export')).status).toBe(200);
  });

  it('is not the JSON that anyone’s program may fetch: that one opens nothing', async () => {
    const { text } = await cast.browser('walker').get('/me.json');
    expect(text).not.toContain('sister');
    expect(text).not.toContain('Rui Ferreira');
    expect(JSON.parse(text).signUps[0].members[0].emergencyContact).toMatch(/^sealed: /);
    expect(site.db.q.select().from(auditLog).where(eq(auditLog.action, 'exported own details')).all()).toEqual([]);
  });

  it('says so where one does not open, logs it, and gives the rest', async () => {
    const id = memberOf('Wendel Ames');
    site.db.write((tx) =>
      tx
        .update(emergencyContacts)
        .set({ sealed: Buffer.from('broken') })
        .where(eq(emergencyContacts.memberId, id))
        .run(),
    );
    const answer = await cast.browser('walker').post('/me/export');
    expect(answer.status).toBe(200);
    expect(answer.body.signUps[0].members[0].emergencyContact).toMatch(/cannot be opened/);
    expect(answer.body.keptContacts[0].contact).toMatchObject({ name: 'Rui Ferreira' });
    expect(site.log.splice(0).join('')).toContain(`emergency_contacts.sealed row ${id} does not open`);
  });

  it('gives nothing where it cannot be written down', async () => {
    site.db.raw.exec("CREATE TRIGGER stuck BEFORE INSERT ON audit_log BEGIN SELECT RAISE(ABORT, 'stuck'); END");
    const answer = await cast.browser('walker').post('/me/export');
    expect(answer.status).toBe(500);
    expect(answer.text).not.toContain('sister');
    site.log.splice(0);
  });
});
