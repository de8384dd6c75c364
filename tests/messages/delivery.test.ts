import { asc, eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { leaders, notices, partyMembers, people, walkLeaders } from '../../server/db/schema/index.js';
import { messagesOf, sendMessage } from '../../server/messages/store.js';
import { forgetMemberMail } from '../../server/notices/owe-members.js';
import { smtpTransport } from '../../server/notices/transport.js';
import { keepSignUp, withdrawSignUp } from '../../server/signups/store.js';
import { cancelWalk } from '../../server/walks/save.js';
import { closeStage, MINUTE, openStage, type Stage } from '../notices/stage.js';
import { browserOf } from '../support/cast.js';
import { parsed, type ReceivedMail } from '../support/mail-sink.js';
import { absentToken, signUpForm, withAbsent } from '../support/sign-up.js';

const TYPED = { subject: 'Bring a hat', text: 'It will be sunny.' };
const GATHERED = Date.UTC(2026, 11, 5, 13, 45);

let stage: Stage;
let path: string;
beforeEach(async () => {
  stage = await openStage();
  path = `/lead/walks/${stage.walkId}/message`;
});
afterEach(() => closeStage(stage));

const leader = () => browserOf(stage.site, stage.leaderId);
const send = () => leader().post(path, { ...TYPED, intent: 'send' });

/** The mails that came by what was done. */
async function mailsOf(work: () => unknown): Promise<ReceivedMail[]> {
  await stage.deliver();
  const before = stage.sink.mails.length;
  await work();
  await stage.deliver();
  return stage.sink.mails.slice(before);
}

/** Ana books for Ben, who has an address of his own. */
function bookForBen(walkEmail = 'ana@walkers.example'): number {
  const { services, db } = stage.site;
  const outcome = db.write((tx) => keepSignUp(tx, services, stage.walkId, signUpForm({ email: walkEmail, members: withAbsent() })));
  if (!('kept' in outcome)) throw new Error('refused');
  return outcome.kept;
}

function person(name: string, email: string, part?: 'leader' | 'co-leader'): number {
  return stage.site.db.write((tx) => {
    const { id } = tx.insert(people).values({ name, email, createdAt: 1 }).returning({ id: people.id }).get();
    if (part) tx.insert(leaders).values({ personId: id, areaId: 1, state: 'approved', sinceMonth: '2026-11', createdAt: 1 }).run();
    if (part) tx.insert(walkLeaders).values({ walkId: stage.walkId, personId: id, part }).run();
    return id;
  });
}

const replyTo = async (mail: ReceivedMail | undefined) =>
  [(await parsed(mail)).replyTo?.value].flat().map((one) => one && [one.name, one.address]);

describe('who reads whose address', () => {
  it('each mail goes to one address, and holds no other walker’s', async () => {
    const addresses = ['ana@walkers.example', 'bo@walkers.example', 'cy@walkers.example'];
    for (const [index, email] of addresses.entries()) stage.signUp(email, `Walker ${index}`, index === 2 ? 12 : 1);
    const mails = await mailsOf(send);
    expect(mails.map((mail) => mail.to)).toEqual(addresses.map((email) => [email]));
    for (const { raw, to } of mails)
      for (const email of addresses) expect([email, raw.includes(email)]).toEqual([email, to.includes(email)]);
    for (const { raw } of mails) expect(raw).not.toMatch(/^(Cc|Bcc):/im);
  });
});

describe('an answer', () => {
  it('reaches the writer, which the mail says', async () => {
    stage.signUp('ana@walkers.example');
    const coe = person('Coe Lindgren', 'coe@waymeet.example', 'co-leader');
    const [mail] = await mailsOf(() => browserOf(stage.site, coe).post(path, { ...TYPED, intent: 'send' }));
    expect(await replyTo(mail)).toEqual([['Coe Lindgren', 'coe@waymeet.example']]);
    const { text = '', html } = await parsed(mail);
    expect(text).toMatch(/Answer this mail to write to .?Coe Lindgren.?, and nobody else\./);
    expect(html).toMatch(/Answer this mail to write to .?Coe Lindgren.?, and nobody else\./);
  });

  it.each([
    ['was stood down', "UPDATE leaders SET state = 'stood_down' WHERE person_id = ?"],
    ['was shut out', 'UPDATE people SET disabled_at = 1 WHERE id = ?'],
  ])("reaches the walk's leader where the writer %s meanwhile", async (_, change) => {
    stage.signUp('ana@walkers.example');
    const coe = person('Coe Lindgren', 'coe@waymeet.example', 'co-leader');
    const [mail] = await mailsOf(async () => {
      await browserOf(stage.site, coe).post(path, { ...TYPED, intent: 'send' });
      stage.site.db.raw.prepare(change).run(coe);
    });
    expect(await replyTo(mail)).toEqual([['Lena Marsh', 'leader@waymeet.example']]);
  });

  it('reaches nobody where there is neither, which the mail says', async () => {
    stage.signUp('ana@walkers.example');
    const [mail] = await mailsOf(async () => {
      await send();
      stage.site.db.raw.exec("UPDATE leaders SET state = 'stood_down'");
    });
    expect(mail?.raw).not.toMatch(/^Reply-To:/im);
    expect((await parsed(mail)).text).toContain('An answer to this mail does not reach the leader: please ring.');
  });

  it('reaches a coordinator who wrote, as long as they are one', async () => {
    stage.signUp('ana@walkers.example');
    const cora = person('Cora Danner', 'cora@waymeet.example');
    stage.site.db.raw.prepare('UPDATE people SET coordinator = 1 WHERE id = ?').run(cora);
    const [mail] = await mailsOf(() => browserOf(stage.site, cora).post(path, { ...TYPED, intent: 'send' }));
    expect(await replyTo(mail)).toEqual([['Cora Danner', 'cora@waymeet.example']]);
  });

  it.each(['Lena"\r\nBcc: evil@evil.example\r\nX: "', 'Lena <evil@evil.example>, Marsh', 'Lena, "Marsh" <x>', 'Léna \u{1F97E} Marsh\n'])(
    'goes to one address whatever the name: %j',
    async (name) => {
      stage.signUp('ana@walkers.example');
      await stage.deliver();
      stage.site.db.raw.prepare('UPDATE people SET name = ? WHERE id = ?').run(name, stage.leaderId);
      const [mail] = await mailsOf(send);
      expect((await replyTo(mail)).map((one) => one?.[1])).toEqual(['leader@waymeet.example']);
      expect(mail?.raw.split('\r\n\r\n')[0]).not.toMatch(/^(Bcc|X):/im);
      expect(mail?.to).toEqual(['ana@walkers.example']);
    },
  );

  it('has a header of one address, even where the address itself is strange', async () => {
    const transport = smtpTransport(stage.sink.url);
    await transport.deliver({
      messageId: '<1@walks.example>',
      date: new Date(0),
      from: 'walks@walkers.example',
      to: { name: 'Ana', address: 'ana@walkers.example' },
      replyTo: { name: 'Lena', address: 'lena@waymeet.example>\r\nBcc: evil@evil.example' },
      subject: 'Hats',
      text: 'Hats',
      html: '<p>Hats</p>',
      calendar: null,
    });
    transport.close();
    const [mail] = stage.sink.mails;
    expect(mail?.to).toEqual(['ana@walkers.example']);
    expect(mail?.raw.split('\r\n\r\n')[0]).not.toMatch(/^Bcc:/im);
  });
});

describe('someone with an address of their own in a party', () => {
  it('hears of a walk to come, by a link of their own', async () => {
    bookForBen();
    const mails = await mailsOf(send);
    // A mail that waits its turn behind none of a sign-up's goes first.
    expect(mails.map((mail) => mail.to)).toEqual([['ben@walkers.example'], ['ana@walkers.example']]);
    const [bens, anas] = await Promise.all(mails.map(parsed));
    expect(anas?.text).not.toContain('/waivers/');
    expect(bens?.text).toContain('Hello Ben Birch,\n\nLena Marsh writes to everyone on this walk:');
    expect(bens?.text).toContain(`/waivers/${absentToken(stage.site)}`);
    expect(bens?.text).not.toContain('/sign-ups/');
    expect((await leader().get(path)).text).toContain('and to 1 adult in their parties with an address of their own');
    expect(messagesOf(stage.site.db.q, stage.walkId)).toMatchObject([{ count: 2 }]);
  });

  it('hears once, whatever parties they are in, and signed up themself', async () => {
    bookForBen();
    bookForBen('bo@walkers.example');
    expect((await mailsOf(send)).filter((mail) => mail.to[0] === 'ben@walkers.example')).toHaveLength(1);
    stage.signUp('ben@walkers.example', 'Ben Birch');
    const again = await mailsOf(() => leader().post(path, { ...TYPED, subject: 'Again', intent: 'send' }));
    const bens = again.filter((mail) => mail.to[0] === 'ben@walkers.example');
    expect(bens).toHaveLength(1);
    expect((await parsed(bens[0])).text).toContain('/sign-ups/');
  });

  it('hears nothing after the walk, nor what still waits when nobody expects them any more', async () => {
    const signUp = bookForBen();
    stage.site.clock.now = GATHERED + 30 * MINUTE;
    expect((await mailsOf(send)).map((mail) => mail.to[0])).toContain('ben@walkers.example');
    stage.site.clock.now = GATHERED + 24 * 60 * MINUTE;
    const after = await mailsOf(() => leader().post(path, { ...TYPED, subject: 'Thanks', intent: 'send' }));
    expect(after.map((mail) => mail.to)).toEqual([['ana@walkers.example']]);
    expect(signUp).toBeGreaterThan(0);
  });

  it('leaves nothing behind at an address that was wrong', async () => {
    bookForBen();
    await mailsOf(send);
    const { db } = stage.site;
    const [ben] = db.q.select().from(partyMembers).where(eq(partyMembers.email, 'ben@walkers.example')).all();
    db.write((tx) => forgetMemberMail(tx, ben?.id ?? 0));
    expect(db.q.select().from(notices).where(eq(notices.toEmail, 'ben@walkers.example')).all()).toEqual([]);
  });

  it.each([
    ['the booker withdraws', (id: number) => withdrawSignUp(stage.site.services, id)],
    ['the walk is cancelled', () => cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'other', reason: 'Ill' })],
  ])('does not hear what still waits when %s', async (_, end) => {
    const signUp = bookForBen();
    await stage.deliver();
    await send();
    end(signUp);
    const rows = stage.site.db.q.select().from(notices).where(eq(notices.toEmail, 'ben@walkers.example')).orderBy(asc(notices.id)).all();
    expect(rows.map((row) => `${row.kind} ${row.state}`)).toEqual(['to-sign sent', 'message replaced', 'member-news pending']);
  });
});

describe('after people have gathered', () => {
  it('a message goes to those with a place, and says nothing of withdrawing', async () => {
    stage.signUp('ana@walkers.example');
    stage.signUp('bo@walkers.example', 'Bo', 12);
    stage.site.clock.now = GATHERED - MINUTE;
    await stage.deliver();
    stage.site.clock.now = GATHERED;
    const mails = await mailsOf(send);
    expect(mails.map((mail) => mail.to)).toEqual([['ana@walkers.example']]);
    const { text } = await parsed(mails[0]);
    expect(text).toMatch(/^Hello Ana Ferreira,\n\nLena Marsh writes to everyone who signed up for this walk:/);
    expect(text).not.toMatch(/withdraw|sign-ups\//);
  });

  it('it is tried for longer than the hour that news of a walk gets then', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.site.clock.now = GATHERED;
    await send();
    const [, row] = stage.noticesOf(ana);
    expect((row?.giveUpAt ?? 0) - stage.site.clock.now).toBe(3 * 24 * 60 * MINUTE);
  });

  it('one written just before gathering outlives it', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.site.clock.now = GATHERED - 5 * MINUTE;
    await send();
    const row = stage.noticesOf(ana).find((one) => one.kind === 'message');
    expect((row?.giveUpAt ?? 0) - stage.site.clock.now).toBe(60 * MINUTE);
  });
});

describe('a test copy', () => {
  const copy = (fields: Record<string, string> = TYPED) => leader().post(path, { ...fields, intent: 'test' });

  it('goes to the writer alone, as a walker would read it, and is not sent by that', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const mails = await mailsOf(async () => {
      const answer = await copy();
      expect(answer.status).toBe(200);
      expect(answer.text).toContain('A test copy is on its way</b> to leader@waymeet.example');
      expect(answer.text).toContain('value="send"');
    });
    expect(mails.map((mail) => mail.to)).toEqual([['leader@waymeet.example']]);
    const { subject, text = '', html } = await parsed(mails[0]);
    expect(subject).toBe('Test copy: Bring a hat: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(text).toMatch(/^TEST COPY: only you get this one\./);
    expect(await replyTo(mails[0])).toEqual([['Lena Marsh', 'leader@waymeet.example']]);
    expect(`${text} ${String(html)}`).not.toMatch(/sign-ups\/|waivers\//);
    expect(stage.story(ana)).toBe('confirmation sent');
    expect(messagesOf(stage.site.db.q, stage.walkId)).toEqual([]);
    const walkers = (await parsed((await mailsOf(send))[0])).text ?? '';
    const shared = (mail: string) => mail.slice(mail.indexOf('It will be sunny.'), mail.indexOf('and nobody else.'));
    expect(shared(text)).toBe(shared(walkers));
  });

  it('of the same text goes once a minute, and of another at once', async () => {
    const copies = async (work: () => unknown) => (await mailsOf(work)).length;
    expect(await copies(copy)).toBe(1);
    stage.pass(MINUTE - 3000);
    const answer = await copy();
    expect(answer.text).toContain('A test copy went less than a minute ago');
    expect(await copies(copy)).toBe(0);
    expect(await copies(() => copy({ ...TYPED, text: 'Rain.' }))).toBe(1);
    stage.pass(MINUTE);
    expect(await copies(copy)).toBe(1);
  });

  it('can be had before anyone has signed up', async () => {
    expect(await mailsOf(copy)).toHaveLength(1);
  });
});

it('two leaders who write at once are each heard once', async () => {
  const ana = stage.signUp('ana@walkers.example');
  const coe = person('Coe Lindgren', 'coe@waymeet.example', 'co-leader');
  const other = { ...TYPED, text: 'And water.' };
  await Promise.all([
    leader().post(path, { ...TYPED, intent: 'send' }),
    browserOf(stage.site, coe).post(path, { ...TYPED, intent: 'send' }),
    browserOf(stage.site, coe).post(path, { ...other, intent: 'send' }),
  ]);
  expect(stage.noticesOf(ana).filter((row) => row.kind === 'message')).toHaveLength(2);
  expect(sendMessage(stage.site.services, stage.walkId, other, { id: coe, name: 'Coe Lindgren', email: '' })).toBe(true);
  expect(messagesOf(stage.site.db.q, stage.walkId).map((one) => one.count)).toEqual([1, 1]);
});
