import { asc, eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { auditLog, emergencyContacts, notices, partyMembers, signUps, waivers } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { eraseAddress } from '../../server/privacy/erase.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { cancelWalk, saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import type { Browser } from '../support/browser.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { opened, party } from './opened.js';

const BEN = 'ben@walkers.example';

/** Ana books for Ben, who is not there, and for Kit, whose guardian he is. */
function booking(changed: Record<string, string> = {}): Record<string, string> {
  return {
    ...party('ana@walkers.example', 'Ana Ferreira', 'Ben Birch', 'Kit Birch'),
    'members[1][email]': BEN,
    'members[1][signature]': '',
    'members[1][contactName]': '',
    'members[1][contactRelation]': '',
    'members[1][contactPhone]': '',
    'members[2][minor]': 'yes',
    'members[2][guardian]': '1',
    'members[2][signature]': '',
    ...changed,
  };
}

const OWN = {
  name: 'Ben Birch',
  contactName: 'Bea Birch',
  contactRelation: 'sister',
  contactPhone: '(202) 555-0177',
  note: 'bad knee',
  agreeRules: 'yes',
  agreeWaiver: 'yes',
};

let stage: Awaited<ReturnType<typeof opened>>;
let walkId: number;
let nobody: Browser;
beforeEach(async () => {
  stage = await opened();
  nobody = stage.nobody;
  walkId = saveNewWalk(
    stage.site.services,
    walkFacts({ routeName: 'Duck pond', minors: true, capacity: 3 }),
    stage.cast.ids.leader,
    'posted',
  );
});

const members = () => stage.site.db.q.select().from(partyMembers).orderBy(asc(partyMembers.id)).all();
const mails = (kind: 'to-sign' | 'waiver-copy' | 'left') =>
  stage.site.db.q.select().from(notices).where(eq(notices.kind, kind)).orderBy(asc(notices.id)).all();
const signed = () => stage.site.db.q.select().from(waivers).orderBy(asc(waivers.id)).all();

/** Books, and gives the private page and the links that Ben was mailed so far. */
async function booked(changed: Record<string, string> = {}) {
  const answer = await nobody.post(`/walks/${walkId}/sign-up`, booking(changed));
  expect(answer.status).toBe(303);
  return { own: answer.headers.location ?? '' };
}

function linkOf(row: ReturnType<typeof mails>[number] | undefined): string {
  if (!row) throw new Error('no such mail');
  const { text } = mailMaker(stage.site.services, stage.site.views).make(row);
  return /\/waivers\/[\w-]{43}/.exec(text)?.[0] ?? '';
}

function signatures(): Record<string, string> {
  const [, ben, kit] = members();
  return { [`signature-${ben?.id}`]: 'Ben Birch', [`signature-${kit?.id}`]: 'Ben Birch' };
}

function signaturesOf(benId: number): Record<string, string> {
  return { [`signature-${benId}`]: 'Ben Birch', [`signature-${benId + 1}`]: 'Ben Birch' };
}

describe('booking for an adult who is not there', () => {
  it('holds the place, mails them a link, and shows them as unsigned to booker and leader', async () => {
    const { own } = await booked();
    const [mail, ...more] = mails('to-sign');
    expect([mail?.toEmail, mail?.toName, more.length]).toEqual([BEN, 'Ben Birch', 0]);
    const page = (await nobody.get(own)).text;
    expect(page.match(/waiver to sign/g)).toHaveLength(2);
    expect(page).toContain(`Asked to sign by mail to ${BEN}`);
    const list = (await stage.cast.browser('leader').get(`/lead/walks/${walkId}`)).text;
    expect(list.match(/asked by mail to sign/g)).toHaveLength(2);
    expect(stage.site.db.q.select({ size: signUps.partySize }).from(signUps).get()).toEqual({ size: 3 });
  });

  it.each<[string, Record<string, string>, string]>([
    ['signs in their place', { 'members[1][signature]': 'Ben Birch' }, 'members-1-signature'],
    ['signs for their child', { 'members[2][signature]': 'Ben Birch' }, 'members-2-signature'],
    ['mistypes their address', { 'members[1][email]': 'ben' }, 'members-1-email'],
    ['gives their own address', { 'members[1][email]': 'Ana@walkers.example' }, 'members-1-email'],
  ])('is refused where the booker %s', async (_, changed, field) => {
    const answer = await nobody.post(`/walks/${walkId}/sign-up`, booking(changed));
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(`href="#${field}"`);
    expect(answer.text).toContain(changed['members[1][email]'] ?? BEN);
  });

  it('asks again when the booker says so, once an hour, and no stranger', async () => {
    const { own } = await booked();
    const [, ben] = members();
    for (let tap = 0; tap < 3; tap += 1) expect((await nobody.post(`${own}/ask`, { member: String(ben?.id) })).status).toBe(303);
    expect(mails('to-sign')).toHaveLength(2);
    await nobody.post(`${own}/ask`, { member: '999' });
    await nobody.post(`${own}/ask`, { member: 'x' });
    expect(mails('to-sign')).toHaveLength(2);
  });

  it('sends a link to a corrected address, and the one sent to the wrong address leads nowhere', async () => {
    const { own } = await booked();
    const wrong = linkOf(mails('to-sign')[0]);
    stage.site.db.raw.exec("UPDATE notices SET state = 'sent', ended_at = 1 WHERE kind = 'to-sign'");
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    expect((await nobody.post(own, { ...form, 'members[1][email]': 'benjamin@walkers.example' })).status).toBe(303);
    expect(mails('to-sign').map((row) => row.toEmail)).toEqual(['benjamin@walkers.example']);
    expect((await nobody.get(wrong)).status).toBe(404);
    expect((await nobody.get(linkOf(mails('to-sign')[0]))).status).toBe(200);
  });
});

it('what they signed elsewhere is not told to whoever books for them; on their own page it counts', async () => {
  const first = await booked();
  await nobody.post(linkOf(mails('to-sign')[0]), { ...OWN, ...signatures() });
  await nobody.post(`${first.own}/withdraw`);
  stage.site.db.raw.exec("DELETE FROM notices WHERE kind = 'to-sign'");
  const second = await booked({
    email: 'eve@walkers.example',
    name: 'Eve Nosy',
    'members[0][name]': 'Eve Nosy',
    'members[0][signature]': 'Eve Nosy',
  });
  expect((await nobody.get(second.own)).text.match(/waiver to sign/g)).toHaveLength(2);
  const link = linkOf(mails('to-sign')[0]);
  const page = (await nobody.get(link)).text;
  expect(page).not.toContain('aria-label="The waiver"');
  const { agreeWaiver: _, ...rest } = OWN;
  expect((await nobody.post(link, rest)).status).toBe(303);
  expect((await nobody.get(second.own)).text).not.toContain('waiver to sign');
});

it('whoever leaves without having signed leaves no name; whoever signed leaves none once they are erased', async () => {
  await booked();
  await nobody.post(`${linkOf(mails('to-sign')[0])}/leave`);
  expect(members().map((row) => row.name)).toEqual(['Ana Ferreira', 'Erased', 'Kit Birch']);
  await booked({ email: 'bo@walkers.example' });
  const [, , , , ben] = members();
  const link = linkOf(mails('to-sign')[0]);
  await nobody.post(link, { ...OWN, ...signaturesOf(ben?.id ?? 0) });
  await nobody.post(`${link}/leave`);
  const { db, services, clock } = stage.site;
  db.write((tx) => eraseAddress(tx, services, BEN, clock.now));
  expect(
    members()
      .slice(3)
      .map((row) => row.name),
  ).toEqual(['Ana Ferreira', 'Erased', 'Erased']);
});

it('an absent adult cannot take the name of another of the party', async () => {
  await booked();
  const answer = await nobody.post(linkOf(mails('to-sign')[0]), { ...OWN, ...signatures(), name: 'ana ferreira' });
  expect(answer.status).toBe(422);
  expect(answer.text).toContain('is in this party already');
});

it('who opened their details, and why, is theirs to read and not the booker’s', async () => {
  const { own } = await booked();
  const link = linkOf(mails('to-sign')[0]);
  await nobody.post(link, { ...OWN, ...signatures() });
  stage.site.clock.now = walkFacts().gatherAt - 60_000;
  const [, ben] = members();
  const leader = stage.cast.browser('leader');
  const opened = await leader.post(`/lead/walks/${walkId}/contacts`, { member: String(ben?.id), reason: 'other', why: 'wants his sister' });
  expect(opened.status).toBe(200);
  expect((await nobody.get(own)).text).not.toContain('wants his sister');
  expect((await nobody.get(link)).text).toContain('wants his sister');
});

describe('what an absent adult gave', () => {
  it('is not signed by a stranger who types their name and address elsewhere', async () => {
    const { own } = await booked();
    const other = party(BEN, 'Ben Birch');
    expect((await nobody.post(stage.at, other)).status).toBe(303);
    expect((await nobody.get(own)).text.match(/waiver to sign/g)).toHaveLength(2);
  });

  it('does not stay where the booker puts another address, or none: it was not theirs to go on with', async () => {
    const { own } = await booked();
    await nobody.post(linkOf(mails('to-sign')[0]), { ...OWN, ...signatures() });
    const kept = () =>
      stage.site.db.q
        .select()
        .from(emergencyContacts)
        .all()
        .map((row) => row.memberId);
    const [ana, ben, kit] = members();
    expect(kept()).toEqual([ana?.id, ben?.id, kit?.id]);
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    const taken = await nobody.post(own, { ...form, 'members[1][email]': '', 'members[1][signature]': 'Ben Birch', agreeWaiver: 'yes' });
    expect(taken.status).toBe(422);
    expect(taken.text).toContain('href="#members-1-contactName"');
    expect((await nobody.post(own, { ...form, 'members[1][email]': 'other@walkers.example' })).status).toBe(303);
    expect(kept()).toEqual([ana?.id, kit?.id]);
    expect(members()[1]?.rulesAgreedAt).toBeNull();
  });
});

describe("the absent adult's own page", () => {
  it('takes contact, rules and a signature for themself and each child, mails them a copy, and is done', async () => {
    await booked();
    const link = linkOf(mails('to-sign')[0]);
    const page = (await nobody.get(link)).text;
    expect(page).toContain('<b>Ana Ferreira</b> booked a place for you and for Kit Birch');
    expect((await nobody.post(link, { ...OWN, ...signatures() })).headers.location).toBe(`${link}?saved=1`);
    expect(signed().map((row) => [row.email, row.signerName, row.forName, row.signedAs, row.proof])).toEqual([
      ['ana@walkers.example', 'Ana Ferreira', 'Ana Ferreira', 'self', 'none'],
      [BEN, 'Ben Birch', 'Ben Birch', 'self', 'link'],
      [BEN, 'Ben Birch', 'Kit Birch', 'guardian', 'link'],
    ]);
    expect(mails('waiver-copy').map((row) => row.toEmail)).toEqual([BEN]);
    expect(members()[1]?.rulesAgreedAt).toBe(stage.site.clock.now);
    const done = (await nobody.get(link)).text;
    expect(done).toContain('All is signed.');
    expect(done).not.toContain('aria-label="The waiver"');
    // Saved once more, nothing is signed twice.
    expect((await nobody.post(link, formFields(done))).status).toBe(303);
    expect(signed()).toHaveLength(3);
  });

  it('asks for what is missing beside each field, and keeps what was typed', async () => {
    await booked();
    const link = linkOf(mails('to-sign')[0]);
    const answer = await nobody.post(link, {
      ...OWN,
      ...signatures(),
      contactPhone: '555',
      agreeRules: '',
      [Object.keys(signatures())[1] ?? '']: 'Kit Birch',
    });
    expect(answer.status).toBe(422);
    for (const field of ['contactPhone', 'agreeRules', Object.keys(signatures())[1]]) expect(answer.text).toContain(`href="#${field}"`);
    expect(answer.text).toContain('Ben Birch signs for Kit Birch: type Ben Birch.');
    expect(answer.text).toContain('value="Bea Birch"');
    expect(signed()).toHaveLength(1);
    expect((await nobody.post(link, {})).status).toBe(422);
  });

  it('lets them say that they do not come: their child goes with them, the places are free, the booker hears of it, their address is gone', async () => {
    const { own } = await booked();
    const waiting = await nobody.post(`/walks/${walkId}/sign-up`, party('cal@walkers.example', 'Cal Cedar', 'Col Cedar'));
    expect((await nobody.get(waiting.headers.location ?? '')).text).toContain('waiting list');
    const link = linkOf(mails('to-sign')[0]);
    expect((await nobody.get(`${link}?leave=1`)).text).toContain('Your place and that of Kit Birch go to others');
    expect((await nobody.post(`${link}/leave`)).text).toContain('You and Kit Birch are off this walk');
    expect(stage.states().map((row) => [row.email, row.state, row.size])).toEqual([
      ['ana@walkers.example', 'confirmed', 1],
      ['cal@walkers.example', 'confirmed', 2],
    ]);
    const [told] = mails('left');
    expect(told?.toEmail).toBe('ana@walkers.example');
    expect(told && mailMaker(stage.site.services, stage.site.views).make(told).text).toContain('not coming any more: Ben Birch, Kit Birch');
    expect(JSON.stringify(members())).not.toContain(BEN);
    expect((await nobody.get(link)).status).toBe(404);
    expect((await nobody.post(`${link}/leave`)).status).toBe(404);
    expect((await nobody.get(own)).text).not.toContain('Kit Birch');
  });

  it('withdraws the sign-up where nobody is left', async () => {
    const alone = {
      ...party('ana@walkers.example', 'Ben Birch'),
      name: 'Ana Ferreira',
      'members[0][email]': BEN,
      'members[0][signature]': '',
    };
    expect((await nobody.post(`/walks/${walkId}/sign-up`, alone)).status).toBe(303);
    await nobody.post(`${linkOf(mails('to-sign')[0])}/leave`);
    expect(stage.states().map((row) => row.state)).toEqual(['withdrawn']);
  });

  it('is closed once the walk has begun or is cancelled, or the booker has withdrawn', async () => {
    const { own } = await booked();
    const link = linkOf(mails('to-sign')[0]);
    stage.site.clock.now = walkFacts().gatherAt;
    expect((await nobody.post(link, { ...OWN, ...signatures() })).status).toBe(409);
    expect((await nobody.get(link)).text).toContain('This walk has been');
    stage.site.clock.now -= 60_000;
    cancelWalk(stage.site.services, walkId, stage.cast.ids.leader, { kind: 'other', reason: 'Leader ill' });
    expect((await nobody.get(link)).text).toContain('This walk is cancelled.');
    expect((await nobody.post(`${link}/leave`)).status).toBe(409);
    expect(own).not.toBe('');
    expect(stage.site.db.q.select().from(auditLog).where(eq(auditLog.action, 'opened emergency details')).all()).toEqual([]);
  });

  it('and its mail are gone with the booking', async () => {
    const { own } = await booked();
    const link = linkOf(mails('to-sign')[0]);
    await nobody.post(`${own}/withdraw`);
    expect(mails('to-sign').map((row) => row.state)).toEqual(['replaced']);
    expect((await nobody.get(link)).status).toBe(404);
    expect(stage.site.db.q.select().from(emergencyContacts).all()).toEqual([]);
  });
});

describe('whoever signs by a link of their own hears', () => {
  const facts = { routeName: 'Duck pond', minors: true, capacity: 3 };

  function edit(change: Partial<WalkFacts>) {
    const { site, cast } = stage;
    const opened = walkById(site.db.q, walkId)?.version ?? 0;
    saveEdit(site.services, { walkId, opened, facts: walkFacts({ ...facts, ...change }), by: cast.ids.leader, tell: false, post: false });
  }

  async function asked() {
    const { own } = await booked();
    stage.site.db.raw.exec("UPDATE notices SET state = 'sent', ended_at = 1 WHERE kind = 'to-sign'");
    return own;
  }

  const news = () => stage.site.db.q.select().from(notices).where(eq(notices.kind, 'member-news')).orderBy(asc(notices.id)).all();
  const text = (row: ReturnType<typeof news>[number] | undefined) =>
    mailMaker(stage.site.services, stage.site.views).make(row as NonNullable<typeof row>);

  it('of a change of time or place, once for edits close together, with the net difference and their own link; of none that was put back', async () => {
    await asked();
    edit({ gather: '08:15' });
    edit({ gather: '08:15', meetingPoint: 'North gate' });
    expect(news().map((row) => [row.toEmail, row.signUpId])).toEqual([[BEN, null]]);
    const mail = text(news()[0]);
    expect(mail.subject).toMatch(/^New time and place: /);
    expect(mail.text).toMatch(/before: .*8:45[\s\S]*now: .*8:15[\s\S]*now: +North gate/);
    expect(mail.text).toContain('/waivers/');
    expect(mail.text + mail.html).not.toContain('/sign-ups/');
    edit({});
    expect(news()).toEqual([]);
    edit({ description: 'Ducks' });
    expect(news()).toEqual([]);
  });

  it('of nothing at an address that was corrected meanwhile: the new one hears, by a link of its own', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    await nobody.post(own, { ...form, 'members[1][email]': 'right@walkers.example' });
    expect(news()).toEqual([]);
    edit({ gather: '08:20' });
    expect(news().map((row) => row.toEmail)).toEqual(['right@walkers.example']);
    expect(text(news()[0]).text).toContain('/waivers/');
    // And whatever went wrong before: a signing link is made for nobody else's mail.
    const [row] = news();
    expect(() => mailMaker(stage.site.services, stage.site.views).make({ ...(row as NonNullable<typeof row>), toEmail: BEN })).toThrow();
  });

  it('of nothing by a mail that was in flight while the address was corrected, and came back', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    const flight = (set: string) => stage.site.db.raw.exec(`UPDATE notices SET ${set} WHERE kind = 'member-news'`);
    flight("state = 'sending', lease = 'x', lease_until = 9e15");
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    await nobody.post(own, { ...form, 'members[1][email]': 'right@walkers.example' });
    flight("state = 'pending', lease = NULL, lease_until = NULL");
    edit({ gather: '08:20' });
    expect(news().map((row) => row.toEmail)).toEqual(['right@walkers.example']);
  });

  it('nothing any more once they sign beside the booker', async () => {
    const { own } = await booked();
    edit({ gather: '08:15' });
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    const here = {
      'members[1][email]': '',
      'members[1][signature]': 'Ben Birch',
      'members[2][signature]': 'Ben Birch',
      agreeWaiver: 'yes',
    };
    const contact = {
      'members[1][contactName]': 'Bea',
      'members[1][contactRelation]': 'sister',
      'members[1][contactPhone]': '(202) 555-0177',
    };
    expect((await nobody.post(own, { ...form, ...here, ...contact })).status).toBe(303);
    expect([mails('to-sign'), news()]).toEqual([[], []]);
  });

  it('not once more of a change that may have arrived, when they are not expected any more', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    stage.site.db.raw.exec("UPDATE notices SET unsure = 1, attempts = 1 WHERE kind = 'member-news'");
    await nobody.post(`${own}/withdraw`);
    expect(news().map((row) => row.state)).toEqual(['replaced', 'pending']);
    expect(text(news()[1]).subject).toMatch(/^Not signed up any more/);
  });

  it('of what came after a mail that is gone already, from there on', async () => {
    await asked();
    edit({ gather: '08:15' });
    stage.site.db.raw.exec("UPDATE notices SET state = 'sent', ended_at = 1 WHERE kind = 'member-news'");
    edit({});
    expect(news().map((row) => row.state)).toEqual(['sent', 'pending']);
    expect(text(news()[1]).text).toMatch(/before: .*8:15[\s\S]*now: .*8:45/);
  });

  it('of a cancelled walk, in place of a change that waits', async () => {
    await asked();
    edit({ gather: '08:15' });
    cancelWalk(stage.site.services, walkId, stage.cast.ids.leader, { kind: 'safety', reason: 'Storm' });
    expect(news().map((row) => text(row).subject.split(':')[0])).toEqual(['Cancelled']);
    expect(text(news()[0]).text).toContain('Why: Storm');
  });

  it('that they are not expected any more, where the booker withdraws or takes them out; nothing where they were never asked', async () => {
    const own = await asked();
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    const without = Object.fromEntries(Object.entries(form).filter(([name]) => !/members\[[12]\]/.test(name)));
    expect((await nobody.post(own, without)).status).toBe(303);
    expect(news().map((row) => text(row).subject.split(':')[0])).toEqual(['Not signed up any more']);
    await nobody.post(`${own}/withdraw`);
    expect(news()).toHaveLength(1);
    const second = (await nobody.post(`/walks/${walkId}/sign-up`, booking({ email: 'b@walkers.example' }))).headers.location ?? '';
    await nobody.post(`${second}/withdraw`);
    expect(news()).toHaveLength(1);
  });
});
