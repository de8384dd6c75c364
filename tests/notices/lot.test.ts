import { eq } from 'drizzle-orm';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { notices, people } from '../../server/db/schema/index.js';
import { tryAgain } from '../../server/notices/again.js';
import { cancelWithLater } from '../../server/repeats/save-later.js';
import { browserOf } from '../support/cast.js';
import { parsed } from '../support/mail-sink.js';
import { calendarsOf, layStageSeries, type SeriesStage } from './lot-stage.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage, saidOfMail } from './stage.js';

const ANA = 'ana@walkers.example';
let stage: Stage;
let series: SeriesStage;
/** Ana's sign-ups for the three walks. */
let anas: number[];
beforeEach(async () => {
  stage = await openStage();
  series = layStageSeries(stage);
  anas = series.ids.map((id) => series.signUp(id, ANA));
  await stage.deliver();
  expect(stage.sink.mails).toHaveLength(3);
});
afterEach(() => closeStage(stage));

const stories = () => anas.map((id) => stage.story(id));
const news = () => stage.sink.mails.slice(3);
const wait = async (ms: number) => {
  stage.pass(ms);
  await stage.deliver();
};
const everyStory = (story: string) => anas.map(() => story);
const context = () => ({ now: stage.site.clock.now, settings: stage.site.services.settings(), config: stage.site.config });

describe('an edit of several walks', () => {
  it('is one line among the mail of a coordinator, and its page says the walks', async () => {
    const { site } = stage;
    const row = { name: 'Cora Danner', email: 'cora@waymeet.example', coordinator: true, createdAt: site.clock.now };
    const { id } = site.db.write((tx) => tx.insert(people).values(row).returning({ id: people.id }).get());
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    const { text } = await browserOf(site, id).get('/coordinate/mail');
    const lines = [...text.matchAll(/<a href="(\/coordinate\/mail\/\d+)">Change([^<]*)<\/a>/g)];
    expect(lines.map((line) => line[2])).toEqual([', 3 walks']);
    const one = (await browserOf(site, id).get(lines[0]?.[1] ?? '')).text;
    for (const walkId of series.ids) expect(one).toContain(`href="/lead/walks/${walkId}"`);
    expect(one.match(/<dt>Message-ID<\/dt>/g)).toHaveLength(1);
  });

  it('is one mail to someone signed up for them all, with the difference of each', async () => {
    expect(series.editAll({ meetingPoint: 'North gate' })).toBe('saved');
    await wait(3 * MINUTE);
    expect(news()).toHaveLength(1);
    const mail = await parsed(news()[0]);
    expect(mail.subject).toBe('New meeting point: Quarry Lakes loop, 3 walks from Sat, Dec 5');
    expect(mail.text?.match(/before: Weir car park\s+now: {4}North gate/g)).toHaveLength(3);
    expect(mail.text).toMatch(/Sat, Dec 5, 2026.*[\s\S]*Sat, Dec 12, 2026[\s\S]*Sat, Dec 19, 2026/);
    expect(new Set(mail.text?.match(/\/sign-ups\/[\w-]{43}/g))).toHaveProperty('size', 3);
    expect(String(mail.html)).not.toMatch(/undefined|\[object/);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
    expect(anas.map((id) => stage.told(id))).toEqual([2, 2, 2]);
  });

  it('has one calendar file a walk: the same UID as before, SEQUENCE raised', async () => {
    const before = (await Promise.all(stage.sink.mails.map(parsed))).flatMap(calendarsOf);
    series.editAll({ gather: '08:15', setOff: '08:30' });
    await wait(3 * MINUTE);
    const found = calendarsOf(await parsed(news()[0]));
    expect(found.map(({ method, sequence, start }) => [method, sequence, start])).toEqual([
      ['REQUEST', 1, '2026-12-05T13:15:00.000Z'],
      ['REQUEST', 1, '2026-12-12T13:15:00.000Z'],
      ['REQUEST', 1, '2026-12-19T13:15:00.000Z'],
    ]);
    expect(found.map(({ uid }) => uid).sort()).toEqual([...new Set(before.map(({ uid }) => uid))].sort());
  });

  it('is the usual mail to someone signed up for one of them', async () => {
    const bo = series.signUp(series.ids[1] ?? 0, 'bo@walkers.example');
    await stage.deliver();
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    const mail = await parsed(stage.sink.mails.find((one) => one.to[0] === 'bo@walkers.example' && one.raw.includes('North gate')));
    expect(mail.text).toMatch(/^This walk has changed/);
    expect(calendarsOf(mail)).toHaveLength(1);
    expect(stage.story(bo)).toBe('confirmation sent, change sent');
    expect(stage.sink.mails).toHaveLength(6);
  });

  it('tells of a walk on which they wait without a calendar file', async () => {
    const waits = series.ids.map((id) => series.signUp(id, 'cy@walkers.example', 12));
    await stage.deliver();
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    const mail = await parsed(stage.sink.mails.find((one) => one.to[0] === 'cy@walkers.example' && one.raw.includes('North gate')));
    expect(mail.text?.match(/still on the waiting list/g)).toHaveLength(3);
    expect(calendarsOf(mail)).toEqual([]);
    expect(waits.map((id) => stage.story(id))).toEqual(waits.map(() => 'waiting sent, change sent'));
  });

  it('goes at once for all where one gathers within a day', async () => {
    stage.site.clock.now = Date.UTC(2026, 11, 4, 13, 45);
    series.editAll({ landmark: 'by the oak' });
    await stage.deliver();
    expect(news()).toHaveLength(1);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('is held where all gather later, to the instant', async () => {
    stage.site.clock.now = Date.UTC(2026, 11, 4, 13, 45) - 1;
    series.editAll({ landmark: 'by the oak' });
    stage.site.clock.now += 3 * MINUTE - 1;
    await stage.outbox.drain();
    expect(news()).toHaveLength(0);
    stage.site.clock.now += 1;
    await stage.outbox.drain();
    expect(news()).toHaveLength(1);
  });
});

describe('edits within the hold', () => {
  it('of all again are one mail with the last word', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.pass(MINUTE);
    series.editAll({ meetingPoint: 'South gate' });
    await wait(3 * MINUTE);
    expect(news()).toHaveLength(1);
    const { text } = await parsed(news()[0]);
    expect(text?.match(/before: Weir car park\s+now: {4}South gate/g)).toHaveLength(3);
    expect(text).not.toContain('North gate');
  });

  it('that put all back are no mail', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    series.editAll({ meetingPoint: 'Weir car park' });
    await wait(HOUR);
    expect(news()).toHaveLength(0);
    expect(stories()).toEqual(everyStory('confirmation sent'));
  });

  it('of one alone take it out of the lot: its mail says both, the lot the rest', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    series.editOne(series.ids[1] ?? 0, { bring: 'Hat', landmark: 'by the oak' });
    await wait(3 * MINUTE);
    const texts = await Promise.all(news().map(async (mail) => (await parsed(mail)).text ?? ''));
    expect(texts.map((text) => text.match(/now: {4}North gate/g)?.length).sort()).toEqual([1, 2]);
    expect(texts.find((text) => text.includes('This walk has changed'))).toMatch(/Dec 12[\s\S]*by the oak|by the oak[\s\S]*Dec 12/);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('from a later walk on join it with those after it, and leave the first alone', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    series.editAll({ gather: '08:30' }, 1);
    await wait(3 * MINUTE);
    expect(news()).toHaveLength(2);
    const subjects = stage.subjects().slice(3).sort();
    expect(subjects[0]).toBe('New meeting point: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(subjects[1]).toBe('New time and place: Quarry Lakes loop, 2 walks from Sat, Dec 12');
  });

  it('a cancelled walk leaves the lot, and is told on its own at once', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    const why = { kind: 'other' as const, reason: 'Leader is ill' };
    cancelWithLater(stage.site.services, series.ids[2] ?? 0, { id: stage.leaderId, coordinator: false }, { why, seen: new Map() });
    await stage.deliver();
    await wait(3 * MINUTE);
    expect(news()).toHaveLength(2);
    expect(stories()[2]).toBe('confirmation sent, change replaced, cancellation sent');
    expect((await parsed(news()[1])).text?.match(/now: {4}North gate/g)).toHaveLength(2);
  });
});

describe('cancelling several walks', () => {
  it('is one mail with a CANCEL for each', async () => {
    const [first = 0] = series.ids;
    const why = { kind: 'safety' as const, reason: 'The weir is closed' };
    const editor = { id: stage.leaderId, coordinator: false };
    expect(cancelWithLater(stage.site.services, first, editor, { why, seen: new Map() })).toBe('later');
    expect(cancelWithLater(stage.site.services, first, editor, { why, seen: series.seenAfter(first) })).toBe('cancelled');
    await stage.deliver();
    expect(news()).toHaveLength(1);
    const mail = await parsed(news()[0]);
    expect(mail.subject).toBe('Cancelled: Quarry Lakes loop, 3 walks from Sat, Dec 5');
    expect(mail.text).toContain('The weir is closed');
    expect(calendarsOf(mail).map(({ method, sequence }) => [method, sequence])).toEqual([
      ['CANCEL', 1],
      ['CANCEL', 1],
      ['CANCEL', 1],
    ]);
    expect(stories()).toEqual(everyStory('confirmation sent, cancellation sent'));
  });
});

describe('a lot that meets trouble', () => {
  it('is sent again whole, under the same Message-ID, where the answer was lost', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.sink.script('end', 'swallow');
    await wait(3 * MINUTE);
    expect(stories()).toEqual(everyStory('confirmation sent, change pending'));
    await wait(2 * MINUTE);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
    const sent = await Promise.all(news().map(parsed));
    expect(sent).toHaveLength(2);
    expect(new Set(sent.map((mail) => mail.messageId)).size).toBe(1);
    expect(new Set(sent.map((mail) => mail.text)).size).toBe(1);
    expect(sent.map((mail) => calendarsOf(mail).length)).toEqual([3, 3]);
  });

  it('left in flight by a crash comes back whole, and none joins it', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.pass(3 * MINUTE);
    const { raw } = stage.site.db;
    const lot = raw.prepare("SELECT id FROM notices WHERE kind = 'change' ORDER BY id").pluck().all() as number[];
    // As the process died after the server took a mail of the first two, before the third was due.
    raw
      .prepare("UPDATE notices SET state = 'sending', lease = 'gone', lease_until = ?, attempts = 1, lot = lot || '#1' WHERE id IN (?, ?)")
      .run(stage.site.clock.now + MINUTE, lot[0], lot[1]);
    stage.restart();
    expect(stage.site.log.splice(0)).toHaveLength(1);
    await stage.deliver();
    const sent = await Promise.all(news().map(parsed));
    expect(sent.map((mail) => mail.text?.match(/now: {4}North gate/g)?.length).sort()).toEqual([1, 2]);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('waits as one and goes as one where the server puts it off', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.sink.script('end', 451);
    await wait(3 * MINUTE);
    const due = stage.site.db.raw.prepare("SELECT DISTINCT due_at FROM notices WHERE state = 'pending'").pluck().all();
    expect(due).toHaveLength(1);
    await wait(2 * MINUTE);
    expect(news()).toHaveLength(1);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('that was put off, and is edited again with another walk, goes with it as one mail', async () => {
    series.editAll({ meetingPoint: 'North gate' }, 1);
    stage.sink.script('end', 451);
    await wait(3 * MINUTE);
    expect(stories()).toEqual(['confirmation sent', 'confirmation sent, change pending', 'confirmation sent, change pending']);
    series.editAll({ gather: '08:30' });
    await wait(20 * MINUTE);
    expect(news()).toHaveLength(1);
    expect((await parsed(news()[0])).text?.match(/now: {4}North gate/g)).toHaveLength(2);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('refused, shows as failed on each walk, and trying one again tries all as one mail', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.sink.script('rcpt', 550);
    await wait(3 * MINUTE);
    expect(stories()).toEqual(everyStory('confirmation sent, change failed'));
    expect(saidOfMail(stage)).toHaveLength(3);
    const row = stage.noticesOf(anas[1] ?? 0).at(-1);
    expect(stage.site.db.write((tx) => tryAgain(tx, context(), row?.id ?? 0))).toBe(true);
    await stage.deliver();
    expect(news()).toHaveLength(1);
    expect(calendarsOf(await parsed(news()[0]))).toHaveLength(3);
    expect(stories()).toEqual(everyStory('confirmation sent, change sent'));
  });

  it('that failed and may have arrived is another mail once it says something else', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    const { raw } = stage.site.db;
    raw.prepare("UPDATE notices SET state = 'failed', unsure = 1 WHERE kind = 'change'").run();
    raw.prepare('UPDATE sign_ups SET told_version = 1').run();
    const ids = raw.prepare("SELECT message_id FROM notices WHERE kind = 'change'").pluck().all();
    series.editOne(series.ids[1] ?? 0, { landmark: 'by the oak' });
    await wait(3 * MINUTE);
    stage.pass(HOUR);
    stage.site.db.write((tx) => tryAgain(tx, context(), stage.noticesOf(anas[0] ?? 0).at(-1)?.id ?? 0));
    await stage.deliver();
    const last = await parsed(news().at(-1));
    expect(ids).not.toContain(last.messageId);
    expect(stage.site.db.raw.prepare("SELECT count(*) FROM notices WHERE state NOT IN ('sent', 'failed')").pluck().get()).toBe(0);
  });

  it('goes without the row that is broken', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.site.db.raw.prepare(`UPDATE notices SET content = '{"walk":{}}' WHERE kind = 'change' AND sign_up_id = ?`).run(anas[1]);
    await wait(3 * MINUTE);
    expect(stage.site.log.splice(0).join()).toContain('a mail could not be made');
    expect(stories()).toEqual(['confirmation sent, change sent', 'confirmation sent, change failed', 'confirmation sent, change sent']);
    expect(calendarsOf(await parsed(news()[0]))).toHaveLength(2);
  });

  it('goes without what an older mail still stands before, which follows on its own', async () => {
    const { raw } = stage.site.db;
    raw
      .prepare(
        "UPDATE notices SET state = 'pending', due_at = due_at + ?, unsure = 1, attempts = 1 WHERE kind = 'confirmation' AND sign_up_id = ?",
      )
      .run(HOUR, anas[2]);
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    expect(stories()[2]).toBe('confirmation pending, change pending');
    expect(calendarsOf(await parsed(news()[0]))).toHaveLength(2);
    await wait(HOUR);
    await stage.deliver();
    expect(stories()[2]).toBe('confirmation sent, change sent');
    expect(news()).toHaveLength(3);
  });

  it('goes on without what was given up at its gathering', async () => {
    stage.site.clock.now = Date.UTC(2026, 11, 5, 12, 45);
    series.editAll({ landmark: 'by the oak' });
    stage.sink.script('mail', 451);
    await stage.deliver();
    stage.site.clock.now = Date.UTC(2026, 11, 5, 13, 45);
    await stage.outbox.drain();
    saidOfMail(stage);
    expect(stories().map((story) => story.split(', ')[1])).toEqual(['change failed', 'change sent', 'change sent']);
    expect(news()).toHaveLength(1);
  });
});

describe('the mail page', () => {
  it('shows the mail as it went, whichever of its notices is looked at, without the private links', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    await wait(3 * MINUTE);
    const { mailMaker } = await import('../../server/notices/mail.js');
    const { lotWith, noticeById } = await import('../../server/notices/store.js');
    const { db, services, views } = { ...stage.site, db: stage.site.db };
    const rows = db.q.select({ id: notices.id }).from(notices).where(eq(notices.kind, 'change')).all();
    const sent = await parsed(news()[0]);
    for (const { id } of rows) {
      const row = noticeById(db.q, id);
      if (!row) throw new Error('gone');
      const made = mailMaker(services, views).makeLotWithoutSecrets(lotWith(db.q, row));
      expect(made.messageId).toBe(sent.messageId);
      expect(made.text).not.toMatch(/\/sign-ups\/[\w-]{20}/);
      expect(made.attached?.map((part) => part.body).join()).not.toMatch(/\/sign-ups\/[\w-]{20}/);
    }
  });

  it('is given up after three days as one', async () => {
    series.editAll({ meetingPoint: 'North gate' });
    stage.sink.script('mail', ...Array.from({ length: 200 }, () => 451 as const));
    for (let step = 0; step < 80; step += 1) await wait(HOUR);
    saidOfMail(stage);
    expect(stories()).toEqual(everyStory('confirmation sent, change failed'));
    expect(stage.site.clock.now).toBeGreaterThan(Date.UTC(2026, 10, 25, 12) + 3 * DAY);
  });
});
