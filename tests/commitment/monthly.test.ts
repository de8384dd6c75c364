import { beforeEach, describe, expect, it } from 'vitest';
import { instants } from '../../server/calc/zone.js';
import { excuse, setMails } from '../../server/commitment/change-store.js';
import { mailMoment } from '../../server/commitment/monthly.js';
import { mailsOffToken, oweMonthlyMails } from '../../server/commitment/monthly-store.js';
import { minutelyJobs } from '../../server/jobs.js';
import { standDown } from '../../server/leaders/store.js';
import { mailMaker } from '../../server/notices/mail.js';
import { openQueue } from '../../server/notices/queue.js';
import { noticeById } from '../../server/notices/store.js';
import { headers } from '../../server/notices/transport.js';
import { saveSettings } from '../../server/settings/store.js';
import { oweContext } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { browserOf } from '../support/cast.js';
import { CHICAGO, type CommitmentStage, DAY, HOUR, NEW_YORK, openCommitment } from './stage.js';

const at = (date: string, time: string, zone: string) => instants(date, time, zone)[0] ?? 0;

describe('when the monthly mail is due', () => {
  it.each([
    ['2026-12', NEW_YORK.zone, '2026-11-20', '2026-12-01'],
    ['2026-12', CHICAGO.zone, '2026-11-20', '2026-12-01'],
    ['2027-01', NEW_YORK.zone, '2026-12-20', '2027-01-01'],
    // The clocks go back on 1 November: 9:00 on the 20th of October is still summer time.
    ['2026-11', CHICAGO.zone, '2026-10-20', '2026-11-01'],
    ['2027-04', NEW_YORK.zone, '2027-03-20', '2027-04-01'],
  ])('for %s in %s: from 9:00 on %s until it begins', (month, zone, day, first) => {
    const [due, until] = [at(day, '09:00', zone), at(first, '00:00', zone)];
    expect(mailMoment(due - 1, zone, 20)).toBeNull();
    expect(mailMoment(due, zone, 20)).toEqual({ month, at: due, until });
    expect(mailMoment(until - 1, zone, 20)).toEqual({ month, at: due, until });
    expect(mailMoment(until, zone, 20)).toBeNull();
  });

  it('on the day that is set, and on none where it is 0', () => {
    expect(mailMoment(at('2027-02-28', '09:00', NEW_YORK.zone), NEW_YORK.zone, 28)?.month).toBe('2027-03');
    expect(mailMoment(at('2027-02-28', '08:59', NEW_YORK.zone), NEW_YORK.zone, 28)).toBeNull();
    expect(mailMoment(at('2027-02-01', '09:00', NEW_YORK.zone), NEW_YORK.zone, 1)?.month).toBe('2027-03');
    expect(mailMoment(at('2027-02-28', '23:00', NEW_YORK.zone), NEW_YORK.zone, 0)).toBeNull();
  });

  it('begins where clocks go forward at midnight with the day all the same', () => {
    // Asunción, 1 October 2023: midnight did not exist.
    const zone = 'America/Asuncion';
    const moment = mailMoment(Date.UTC(2023, 8, 25, 12), zone, 20);
    expect(new Date(moment?.until ?? 0).toISOString()).toBe('2023-10-01T04:00:00.000Z');
  });
});

describe('the mail', () => {
  let stage: CommitmentStage;
  let lena: number;
  const DUE = at('2026-11-20', '09:00', NEW_YORK.zone);
  const rows = () =>
    stage.site.db.raw.prepare("SELECT id, event, state FROM notices WHERE kind = 'commitment' ORDER BY id").all() as {
      id: number;
      event: string;
      state: string;
    }[];
  const owe = () => stage.site.db.write((tx) => oweMonthlyMails(tx, oweContext(stage.site.services), stage.site.services.sealer));
  const claim = () => {
    const { db, services } = stage.site;
    return db.write(() => openQueue(db, () => {}).claim(oweContext(services), 'lease'));
  };

  beforeEach(async () => {
    stage = await openCommitment();
    stage.site.clock.now = Date.UTC(2026, 10, 1, 12);
    lena = stage.leader('Lena Marsh', { pledge: 2 });
    stage.site.clock.now = DUE;
  });

  it('goes once, to those with nothing posted, not before the hour and in each zone at its own', () => {
    stage.site.clock.now = DUE - 10 * DAY;
    const wes = stage.leader('Wes Ling', { area: CHICAGO });
    const busy = stage.leader('Bea Busy');
    const drafting = stage.leader('Dee Draft');
    stage.walk(busy, '2026-12-05');
    stage.walk(drafting, '2026-12-06', {}, { state: 'draft' });
    stage.site.clock.now = DUE - 1;
    expect(owe()).toBe(0);
    stage.site.clock.now = DUE;
    expect(owe()).toBe(2);
    expect(owe()).toBe(0);
    stage.site.clock.now = DUE + HOUR - 1;
    expect(owe()).toBe(0);
    stage.site.clock.now = DUE + HOUR;
    expect(owe()).toBe(1);
    stage.site.clock.now = DUE + 5 * DAY;
    expect(owe()).toBe(0);
    expect(rows().map((row) => row.event)).toEqual([lena, drafting, wes].map((id) => `commitment:${id}:2026-12`));
  });

  it('does not go to a co-leader of a posted walk, to one approved since, nor for a walk cancelled after the day', () => {
    const coe = stage.leader('Coe Lindgren', { month: '2026-12' });
    stage.walk(lena, '2026-12-05', {}, { coLeader: coe });
    stage.site.clock.now = DUE + 1;
    stage.leader('Nora Quist', { month: '2026-12' });
    expect(owe()).toBe(0);
    stage.cancel(1, 'other');
    expect(owe()).toBe(0);
  });

  it.each<[string, () => void]>([
    ['posts', () => stage.walk(lena, '2026-12-05')],
    ['shares a posted walk', () => stage.walk(stage.leader('Otto Blume'), '2026-12-05', {}, { coLeader: lena })],
    ['is excused', () => stage.site.db.write((tx) => excuse(tx, lena, { month: '2026-12', reason: 'Away' }, { by: lena, now: DUE }))],
    ['is stood down', () => stage.site.db.write((tx) => standDown(tx, lena, stage.coordinator, DUE))],
    ['turns it off', () => stage.site.db.write((tx) => setMails(tx, lena, false, { by: lena, now: DUE }))],
    ['is of a group that turns it off', () => stage.site.db.write((tx) => saveSettings(tx, { commitmentDay: 0 }))],
  ])('is taken back as it is claimed where the leader %s meanwhile', (_, act) => {
    owe();
    expect(rows()).toMatchObject([{ state: 'pending' }]);
    act();
    expect(claim()).toBeUndefined();
    expect(rows()).toMatchObject([{ state: 'replaced' }]);
  });

  it('stands where a draft is all there is, and is given up as the month begins', () => {
    owe();
    stage.walk(lena, '2026-12-05', {}, { state: 'draft' });
    stage.site.clock.now = at('2026-12-01', '00:00', NEW_YORK.zone) - 1;
    expect(claim()?.[0].kind).toBe('commitment');
    stage.site.db.raw.prepare("UPDATE notices SET state = 'pending', lease = NULL, lease_until = NULL").run();
    stage.site.clock.now += 1;
    expect(claim()).toBeUndefined();
    expect(rows()).toMatchObject([{ state: 'failed' }]);
  });

  it('lets whoever waits for a sign-in mail go first', () => {
    owe();
    const { raw } = stage.site.db;
    raw
      .prepare(`INSERT INTO notices (event, kind, state, to_name, to_email, message_id, content, created_at, due_at, give_up_at)
      VALUES ('sign-in:1', 'sign-in', 'pending', 'Ana', 'ana@walkers.example', '<1@x>', '{}', ?, ?, ?)`)
      .run(DUE, DUE, DUE + HOUR);
    expect(claim()?.[0].kind).toBe('sign-in');
    expect(claim()?.[0].kind).toBe('commitment');
  });

  it('is owed by the job of each minute, which writes nothing where nobody is to be asked', () => {
    const run = minutelyJobs(stage.site.services);
    run();
    expect(rows()).toHaveLength(1);
    const writes = stage.site.db.writes();
    run();
    // The day-before reminders alone.
    expect(stage.site.db.writes() - writes).toBe(1);
  });

  it('says month, pledge and what the area needs, and carries the address that turns it off for the leader alone', () => {
    owe();
    const row = noticeById(stage.site.db.q, rows()[0]?.id ?? 0);
    if (!row) throw new Error('no mail');
    const { make, makeWithoutSecrets } = mailMaker(stage.site.services, stage.site.views);
    const mail = make(row);
    const token = mailsOffToken(stage.site.services.sealer, lena);
    expect(mail.subject).toBe('Walks for December 2026?');
    for (const said of [
      'You promised 2 walks.',
      '- Sat, Dec 5, or another day in December 2026: a walk wanted, any length\n',
      '/lead/walks/new?area=lantern-hills&date=2026-12-05',
      '/lead/walks/new?area=lantern-hills&date=2026-12-12',
      '/lead/commitment',
      'That is fine',
    ])
      expect(mail.text).toContain(said);
    expect(
      [mail.text, mail.html, JSON.stringify(makeWithoutSecrets(row)), JSON.stringify(row)].filter((one) => one.includes(token)),
    ).toEqual([]);
    const link = `${stage.site.config.baseUrl}/monthly-mail/${token}`;
    expect(headers(mail).headers).toEqual({ 'Auto-Submitted': 'auto-generated', 'List-Unsubscribe': `<${link}>` });
    const https = { ...mail, unsubscribe: link.replace('http:', 'https:') };
    expect(headers(https).headers).toMatchObject({ 'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click' });
    expect(headers({ ...mail, unsubscribe: undefined as never }).headers).toEqual({ 'Auto-Submitted': 'auto-generated' });
  });

  it('is turned off by one post from anywhere, without signing in; opening the address changes nothing', async () => {
    owe();
    const { app, services, db } = stage.site;
    const url = `/monthly-mail/${mailsOffToken(services.sealer, lena)}`;
    const wanted = () => db.raw.prepare('SELECT wanted FROM commitment_mails WHERE person_id = ?').pluck().get(lena);
    const opened = await app.inject({ url });
    expect([opened.statusCode, opened.headers['cache-control'], opened.headers['referrer-policy']]).toEqual([
      200,
      'no-store',
      'no-referrer',
    ]);
    expect(wanted()).toBe(1);
    const type = 'application/x-www-form-urlencoded';
    const headers = { 'content-type': type, origin: 'https://mail.example', 'sec-fetch-site': 'cross-site' };
    for (const _ of [1, 2]) {
      const answer = await app.inject({ method: 'POST', url, headers, payload: 'List-Unsubscribe=One-Click' });
      expect([answer.statusCode, answer.body.includes('It is off.')]).toEqual([200, true]);
      expect(wanted()).toBe(0);
    }
    expect(claim()).toBeUndefined();
    const lead = browserOf(stage.site, lena);
    expect((await lead.get('/lead/commitment')).text).toContain('Turn it on');
    await lead.post('/lead/commitment/mails', { wanted: 'yes' });
    expect(wanted()).toBe(1);
    const boundary = 'xyz';
    const multipart = `--${boundary}\r\nContent-Disposition: form-data; name="List-Unsubscribe"\r\n\r\nOne-Click\r\n--${boundary}--\r\n`;
    const answer = await app.inject({
      method: 'POST',
      url,
      headers: { 'content-type': `multipart/form-data; boundary=${boundary}` },
      payload: multipart,
    });
    expect([answer.statusCode, wanted()]).toEqual([200, 0]);
    expect((await app.inject({ method: 'POST', url: `${url}x` })).statusCode).toBe(404);
    expect((await openSite()).db.raw.prepare('SELECT count(*) FROM commitment_mails').pluck().get()).toBe(0);
  });
});
