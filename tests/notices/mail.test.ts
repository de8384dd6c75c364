import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { eq } from 'drizzle-orm';
import addressparser from 'nodemailer/lib/addressparser';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { oweMonthlyMails } from '../../server/commitment/monthly-store.js';
import { ROOT } from '../../server/config.js';
import { oweSignedCopy } from '../../server/day/signed-copy.js';
import type { Tx } from '../../server/db/open.js';
import { leaderTerms, notices, texts } from '../../server/db/schema/index.js';
import { incidentLetter } from '../../server/incidents/letter.js';
import {
  answeredLetter,
  appliedLetter,
  approvedLetter,
  askedLetter,
  copyLetter,
  declinedLetter,
  dueLetter,
  type Letter,
  leftLetter,
  readyLetter,
} from '../../server/joining/letters.js';
import { oweLetter } from '../../server/joining/owe.js';
import { approveLeader } from '../../server/leaders/store.js';
import { NOTICE_KINDS, type NoticeContent, type NoticeKind } from '../../server/notices/content.js';
import { KINDS } from '../../server/notices/kinds.js';
import { mailMaker } from '../../server/notices/mail.js';
import { oweLink, oweReminders, oweSignIn, oweTest } from '../../server/notices/owe.js';
import { oweMessage, oweMessageCopy } from '../../server/notices/owe-messages.js';
import { oweLeft, oweWaiverCopy } from '../../server/notices/owe-signing.js';
import { insertNotice } from '../../server/notices/owed.js';
import { judge, type Mail, smtpTransport } from '../../server/notices/transport.js';
import { seasonFor } from '../../server/proposals/season.js';
import { sendAsks } from '../../server/proposals/send.js';
import { keepSignUp, withdrawSignUp } from '../../server/signups/store.js';
import { answerOffer, makeOffer } from '../../server/together/offers.js';
import { makeLeader } from '../../server/together/parts.js';
import { cancelWalk } from '../../server/walks/save.js';
import { parsed } from '../support/mail-sink.js';
import { member, signUpForm } from '../support/sign-up.js';
import { closeStage, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

const context = () => {
  const { services } = stage.site;
  return { now: services.now(), settings: services.settings(), config: services.config };
};

/** Bea books for Ben, who is not there. */
const ABSENT_PARTY = signUpForm({
  name: 'Bea Birch',
  email: 'bea@walkers.example',
  members: [member({ name: 'Bea Birch' }), member({ name: 'Ben Birch', email: 'ben@walkers.example', signature: '', contact: null })],
});

/** Everything that is written about becoming a leader, being one, and stopping. */
function oweOfLeading(tx: Tx): void {
  const who = { id: 1, personId: 7, name: 'Ana Ferreira', areaName: 'Lantern Hills' };
  const letters: [NoticeKind, Letter][] = [
    ['application', appliedLetter(who, 'I walk every week.\nGladly.')],
    ['application', answeredLetter(who, 'Since when?', 'Since May.')],
    ['application', readyLetter(who)],
    ['application-news', askedLetter(7, 'Since when?')],
    ['application-news', approvedLetter(7, true)],
    ['application-news', declinedLetter(7, 'Not yet.')],
    ['agreement-copy', copyLetter(7, 1)],
    ['agreement-due', dueLetter(7, { at: 1, by: 'Fri, Dec 25, 2026', isNew: true, months: 12 })],
    ['agreement-due', dueLetter(7, { at: 1, by: null, isNew: false, months: 6 })],
    ['leader-left', leftLetter(who, '2 coming walks')],
    ['leader-left', leftLetter(who, '')],
    ['incident', incidentLetter(1, { title: '8-mile walk: Quarry Lakes loop, Lantern Hills', day: 'Sat, Dec 5, 2026' })],
  ];
  const to = { name: 'Cora', email: 'coordinator@waymeet.example' };
  for (const [index, [kind, letter]] of letters.entries()) oweLetter(tx, context(), { kind, event: `leading:${index}`, letter, to });
  oweSignedCopy(tx, context(), { waiverId: 1, walk: { id: 1, title: '8-mile walk: Quarry Lakes loop, Lantern Hills' }, to });
}

/** What is written once a walk is over: thanks, and a word to whoever has not closed it. */
function oweAfterwards(tx: Tx): void {
  const about = { walkId: stage.walkId, version: 1, title: '8-mile walk: Quarry Lakes loop, Lantern Hills' };
  const people = [1, 2].map((id) => ({ who: `m${id}`, metres: 13_197 }));
  const next = [{ walkId: stage.walkId, title: about.title, gatherAt: context().now, zone: 'America/New_York' }];
  const owe = (kind: NoticeKind, email: string, content: NoticeContent) =>
    insertNotice(tx, context(), {
      event: `${kind}:${email}`,
      kind,
      to: { name: 'Ana Ferreira', email },
      content,
      giveUpAt: context().now + MINUTE,
    });
  owe('thanks', 'ana@walkers.example', { thanks: { ...about, people, next } });
  owe('thanks', 'bea@walkers.example', { thanks: { ...about, people: people.slice(1), next: [] } });
  const open = { ...about, setOffAt: context().now, zone: 'America/New_York', personId: stage.leaderId };
  for (const to of ['leader', 'coordinator'] as const) owe('not-closed', `${to}@waymeet.example`, { notClosed: { ...open, to } });
}

/** Makes the service owe one of every kind. */
/** A leader is asked for walks that their area lacks. */
function oweAsk(tx: Tx): void {
  const { services, clock } = stage.site;
  const month = '2026-12';
  const season = seasonFor(tx, services, { months: [month], area: '', isUsual: true, faults: {} }, '2026-11-25');
  const [gap] = season.gaps;
  const send = gap ? [{ need: gap.need.id, leaderId: stage.leaderId, date: gap.date }] : [];
  sendAsks(tx, { ...context(), sealer: services.sealer }, season, { send, by: { id: 1, name: 'Cora' }, note: `By ${clock.now}` });
}

async function oweEveryKind(): Promise<void> {
  const { services, db, clock } = stage.site;
  const party = db.write((tx) => keepSignUp(tx, services, stage.walkId, ABSENT_PARTY));
  const partyId = 'kept' in party ? party.kept : 0;
  const ana = stage.signUp('ana@walkers.example');
  const bo = stage.signUp('bo@walkers.example', 'Bo', 10);
  await stage.deliver();
  stage.edit({ meetingPoint: 'North gate' });
  const message = { subject: 'Bring a hat', text: 'It will be sunny.\nVery.', from: 'Lena Marsh', at: clock.now };
  db.write((tx) => {
    oweLink(tx, context(), ana);
    oweMessage(tx, context(), stage.walkId, {
      mark: 'hats',
      audience: 'everyone',
      withAbsent: true,
      message,
    });
    oweMessageCopy(tx, context(), stage.walkId, { message, to: { id: 1, name: 'Lena Marsh', email: 'leader@waymeet.example' } });
    oweSignIn(tx, context(), { linkId: 5, email: 'ana@walkers.example', name: 'Ana', expiresAt: clock.now + 10 * MINUTE });
    oweWaiverCopy(tx, context(), { signUpId: ana, waiverIds: [1], to: { name: 'Ana Ferreira', email: 'ana@walkers.example' } });
    oweLeft(tx, context(), partyId, { memberId: 99, names: ['Ben Birch'] });
    oweTest(tx, context(), { name: 'Cora', email: 'coordinator@waymeet.example' });
    oweOfLeading(tx);
    oweAfterwards(tx);
    oweAsk(tx);
  });
  withdrawSignUp(services, ana);
  await stage.deliver();
  await handOn();
  clock.now = Date.UTC(2026, 11, 4, 14);
  db.write((tx) => oweReminders(tx, context()));
  await stage.deliver();
  // The leader has nothing posted for January.
  db.write((tx) => tx.insert(leaderTerms).values({ personId: stage.leaderId, fromMonth: '2026-11', at: 0 }).run());
  const day = Math.max(1, new Date(clock.now).getUTCDate() - 1);
  db.write((tx) =>
    oweMonthlyMails(tx, { ...context(), now: clock.now, settings: { ...services.settings(), commitmentDay: day } }, services.sealer),
  );
  await stage.deliver();
  expect(stage.story(bo)).toContain('reminder');
  cancelWalk(services, stage.walkId, stage.leaderId, { kind: 'safety', reason: 'Storm warning' });
  await stage.deliver();
}

/** The leader asks another to lead the walk, who does, and asks for it back: an offer, its answer, and what the leader and the walkers hear of it. */
async function handOn(): Promise<void> {
  const { services, db, clock } = stage.site;
  const other = { name: 'Otto Blume', email: 'second@waymeet.example', phone: '+12025550120', areaId: 1, pledge: 1, month: '2026-12' };
  const otto = db.write((tx) => approveLeader(tx, other, stage.leaderId, clock.now));
  const asked = { kind: 'hand-over', stays: true, note: 'I am away.' } as const;
  makeOffer(services, stage.walkId, stage.leaderId, { ...asked, toPersonId: otto });
  await stage.deliver();
  answerOffer(services, 1, { accept: true, words: 'Gladly' });
  makeLeader(services, stage.walkId, stage.leaderId, { personId: otto, name: 'Otto Blume' });
  await stage.deliver();
}

describe('every kind of notice', () => {
  it('has its line and its two templates, and there are no others', () => {
    const files = readdirSync(join(ROOT, 'views/mail')).filter((name) => name.endsWith('.hbs'));
    expect(files.sort()).toEqual(NOTICE_KINDS.flatMap((kind) => [`${kind}.html.hbs`, `${kind}.txt.hbs`]).sort());
    expect(Object.keys(KINDS).sort()).toEqual([...NOTICE_KINDS].sort());
  });

  it('makes a mail with a subject, a text and an HTML part that leave nothing blank', async () => {
    await oweEveryKind();
    const rows = stage.site.db.q.select().from(notices).all();
    expect([...new Set(rows.map((row) => row.kind))].sort()).toEqual([...NOTICE_KINDS].sort());
    const { make, makeWithoutSecrets } = mailMaker(stage.site.services, stage.site.views);
    for (const row of rows) {
      const mail = make(row);
      expect(mail.subject.length).toBeGreaterThan(8);
      expect(mail.text.length).toBeGreaterThan(40);
      expect(mail.html).toContain('<h1>');
      for (const part of [mail.subject, mail.text, mail.html]) expect(part).not.toMatch(/undefined|null|NaN|\[object|\{\{|: ,|^,/m);
      expect(mail.text).not.toMatch(/\n{4}|&#|&amp;/);
      const safe = makeWithoutSecrets(row);
      expect(safe.text + safe.html).not.toMatch(/\/(sign-ups|sign-in|waivers|offers|asks)\/[\w-]{20}/);
    }
  });

  it('says what happened in its first line, after a greeting in what people write to each other', async () => {
    await oweEveryKind();
    const { make } = mailMaker(stage.site.services, stage.site.views);
    const first = new Map(
      stage.site.db.q
        .select()
        .from(notices)
        .all()
        .map((row) => [
          row.kind,
          make(row)
            .text.replace(/^Hello [^\n]+,\n\n/, '')
            .split('\n')[0],
        ]),
    );
    const said: Partial<Record<NoticeKind, RegExp>> = {
      confirmation: /^You are coming, Ana Ferreira/,
      waiting: /^You are on the waiting list/,
      change: /^This walk has changed/,
      cancellation: /^This walk is cancelled for safety/,
      'place-freed': /^You have a place/,
      withdrawal: /^You have withdrawn/,
      message: /^Lena Marsh writes to everyone on this walk:$/,
      'message-copy': /^TEST COPY: only you get this one/,
      reminder: /^You are still on the waiting list|^Your walk is tomorrow, Sat, Dec 5/,
    };
    for (const [kind, words] of Object.entries(said)) expect(first.get(kind as NoticeKind)).toMatch(words);
  });

  it('carries the headers of an automatic mail, and a calendar only where the calendar changes', async () => {
    await oweEveryKind();
    for (const mail of stage.sink.mails) {
      expect(mail.raw).toMatch(/^Auto-Submitted: auto-generated\r$/m);
      expect(mail.raw).toMatch(/^Message-ID: <[0-9a-f]{32}@[\w.]+>\r$/im);
      expect(mail.raw).not.toMatch(/^(Cc|Bcc):/im);
      const isMessage = /^Subject: (Test copy: )?Bring a hat/m.test(mail.raw);
      expect([isMessage, /^Reply-To:/im.exec(mail.raw) !== null]).toEqual([isMessage, isMessage]);
    }
    for (const mail of await Promise.all(stage.sink.mails.map(parsed))) {
      const subject = mail.subject ?? '';
      // Someone in another's party has no entry of the booker's to change.
      const isBooker = !mail.text?.includes('signed you up');
      const changesCalendar = isBooker && /^(You're coming|You have a place|New|Changed|Cancelled|Withdrawn)/.test(subject);
      expect([subject, mail.attachments.some((part) => part.contentType === 'text/calendar')]).toEqual([subject, changesCalendar]);
    }
    const invitation = stage.sink.mails.find((mail) => mail.raw.includes("Subject: You're coming"))?.raw ?? '';
    expect(invitation).toMatch(/Content-Type: text\/calendar; charset=utf-8; method=REQUEST/i);
  });

  it('gives the signer a copy of what was signed', async () => {
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    const { text = '' } = await parsed(stage.sink.mails[0]);
    expect(text).toMatch(/WHAT YOU SIGNED\s+For Ana Ferreira: signed "Ana Ferreira", .*\(waiver version 1\)/);
    const [body] = stage.site.db.q.select({ body: texts.body, sha256: texts.sha256 }).from(texts).where(eq(texts.kind, 'waiver')).all();
    expect(text).toContain('the waiver, version 1, exactly as it was signed. Marks such as # and ** belong to it');
    expect(text).toContain(`the SHA-256 of this very text is ${body?.sha256}.\n\n${body?.body}`);
  });
});

describe('names that try to be more than names', () => {
  it.each([
    'Ana, Bo <evil@walkers.example>',
    'Ana" <evil@walkers.example>, "',
    "O'Neill, Ana; evil@walkers.example",
    'Ana\r\nBcc: evil@walkers.example',
    'Ana\nSubject: owned',
    '=?utf-8?q?evil=40walkers.example?=',
    '<b>Ana</b>{{home}}',
    'Åsa Ólafsdóttir-王 😀',
  ])('%j: one recipient, no header of its own', async (name) => {
    stage.signUp('ana@walkers.example', name);
    stage.edit({ routeName: `${name} loop`, meetingPoint: name });
    await stage.deliver();
    expect(stage.sink.mails.map((mail) => mail.to)).toEqual([['ana@walkers.example']]);
    const mail = await parsed(stage.sink.mails[0]);
    const recipients = [mail.to].flat().flatMap((list) => list?.value ?? []);
    expect(recipients.map((one) => one.address)).toEqual(['ana@walkers.example']);
    expect([...mail.headers.keys()].filter((key) => ['bcc', 'cc', 'reply-to'].includes(key))).toEqual([]);
    expect(mail.subject).toMatch(/^You're coming: 8-mile walk: /);
    expect(mail.html).not.toContain('<b>Ana</b>');
    const line = /^To: ((?:.*\r\n[ \t])*.*)\r$/m.exec(stage.sink.mails[0]?.raw ?? '')?.[1] ?? '';
    expect(addressparser(line.replace(/\r\n/g, ''), { flatten: true })).toHaveLength(1);
  });
});

const LETTER: Mail = {
  messageId: '<1@walks.example>',
  date: new Date(Date.UTC(2026, 10, 25, 12)),
  from: 'walks@walkers.example',
  to: { name: 'Ana', address: 'ana@walkers.example' },
  replyTo: null,
  subject: 'A mail',
  text: 'A mail',
  html: '<p>A mail</p>',
  calendar: null,
};

describe('what an answer means', () => {
  const error = (changed: object) => Object.assign(new Error('as scripted'), changed);
  it.each([
    ['550 to the recipient', error({ code: 'EENVELOPE', responseCode: 550, response: '550 no such user' }), false, { is: 'refused' }],
    ['450 to the recipient', error({ code: 'EENVELOPE', responseCode: 450 }), false, { is: 'wait', unsure: false, connection: false }],
    ['552 to the message', error({ code: 'EMESSAGE', responseCode: 552 }), true, { is: 'refused' }],
    ['451 to the message', error({ code: 'EMESSAGE', responseCode: 451 }), true, { is: 'wait', unsure: false, connection: false }],
    ['421 after the message', error({ code: 'ECONNECTION', responseCode: 421 }), true, { is: 'wait', unsure: false, connection: false }],
    ['silence after the message', error({ code: 'ETIMEDOUT' }), true, { is: 'wait', unsure: true, connection: false }],
    ['silence before it', error({ code: 'ETIMEDOUT' }), false, { is: 'wait', unsure: false, connection: true }],
    ['a wrong password', error({ code: 'EAUTH', responseCode: 535 }), false, { is: 'wait', unsure: false, connection: true }],
    ['a bad sequence', error({ code: 'EENVELOPE', responseCode: 503 }), false, { is: 'wait', unsure: false, connection: true }],
    ['a dropped socket', error({ code: 'ECONNRESET', syscall: 'read' }), false, { is: 'wait', unsure: false, connection: true }],
    ['a stop', error({ code: 'EABORT' }), false, { is: 'wait', unsure: false, connection: true }],
    ['an answer nobody understands', error({ code: 'EWHAT', responseCode: 499 }), false, { is: 'wait', connection: true }],
    ['a mail that can not be put together', new TypeError('content is not a string'), false, { is: 'refused' }],
    ['a mail that reaches for a file', error({ code: 'EFILEACCESS' }), true, { is: 'refused' }],
    ['an address that is none', error({ code: 'EENVELOPE' }), false, { is: 'refused' }],
  ])('%s', (_, fault, begun, outcome) => {
    expect(judge(fault, begun)).toMatchObject(outcome);
  });
  it('a mail that nodemailer can not build fails, and the others go on', async () => {
    const transport = smtpTransport(stage.sink.url);
    const broken: Mail = { ...LETTER, text: Symbol('no text') as unknown as string };
    expect(await transport.deliver(broken)).toMatchObject({ is: 'refused' });
    expect(await transport.deliver(LETTER)).toEqual({ is: 'sent' });
    expect(stage.sink.mails).toHaveLength(1);
    transport.close();
  });
  it('keeps an answer short and on one line', () => {
    const outcome = judge(error({ code: 'EENVELOPE', responseCode: 550, response: `550-no\r\n550 ${'x'.repeat(999)}` }), false);
    expect('why' in outcome && outcome.why).toMatch(/^550-no 550 x{289}$/);
  });
});
