import { asc, eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { auditLog, emergencyContacts, partyMembers, signUps, waivers } from '../../server/db/schema/index.js';
import type { NoticeKind } from '../../server/notices/content.js';
import { eraseAddress } from '../../server/privacy/erase.js';
import { cancelWalk } from '../../server/walks/save.js';
import type { Browser } from '../support/browser.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { absentStage, BEN, booking } from './absent-stage.js';
import { party } from './opened.js';

const OWN = {
  name: 'Ben Birch',
  contactName: 'Bea Birch',
  contactRelation: 'sister',
  contactPhone: '(202) 555-0177',
  note: 'bad knee',
  agreeRules: 'yes',
  agreeWaiver: 'yes',
};

let stage: Awaited<ReturnType<typeof absentStage>>;
let walkId: number;
let nobody: Browser;
beforeEach(async () => {
  stage = await absentStage();
  ({ nobody, walkId } = stage);
});

const members = () => stage.site.db.q.select().from(partyMembers).orderBy(asc(partyMembers.id)).all();
const mails = (kind: NoticeKind) => stage.mails(kind);
const signed = () => stage.site.db.q.select().from(waivers).orderBy(asc(waivers.id)).all();

const booked = (changed?: Record<string, string>) => stage.booked(changed);

function linkOf(row: ReturnType<typeof mails>[number] | undefined): string {
  return /\/waivers\/[\w-]{43}/.exec(stage.letter(row).text)?.[0] ?? '';
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
    expect(told && stage.letter(told).text).toContain('not coming any more: Ben Birch, Kit Birch');
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
