import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { withdrawSignUp } from '../../server/signups/store.js';
import { cancelWalk } from '../../server/walks/save.js';
import { parsed } from '../support/mail-sink.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

const to = () => stage.sink.mails.map((mail) => mail.to.join('+'));
const last = (signUp: number) => stage.noticesOf(signUp).at(-1);

describe('a mail server that misbehaves', () => {
  it.each([
    ['421 at the greeting', 'greeting', 421],
    ['450 at RCPT', 'rcpt', 450],
    ['421 at MAIL', 'mail', 421],
    ['452 after the message', 'end', 452],
  ] as const)('%s: the mail waits a minute and goes once', async (_, step, code) => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script(step, code);
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', attempts: 1, unsure: false, lastError: expect.stringContaining(String(code)) });
    stage.pass(30_000);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(0);
    stage.pass(MINUTE);
    await stage.deliver();
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'sent', attempts: 2 });
    expect(to()).toEqual(['ana@walkers.example']);
  });

  it.each(['mail', 'rcpt', 'end'] as const)('550 at %s: failed at once, shown, and never sent', async (step) => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script(step, 550);
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'failed', attempts: 1, lastError: expect.stringContaining('550') });
    stage.pass(DAY);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(0);
  });

  it('554 at the greeting or 530 at MAIL is about the server, not about the mail: it waits', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('greeting', 554);
    await stage.deliver();
    expect(last(ana)?.state).toBe('pending');
    stage.pass(5 * MINUTE);
    stage.sink.script('mail', 530);
    await stage.deliver();
    expect(last(ana)?.state).toBe('pending');
  });

  it('a hang at RCPT ends, and the others go on', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.sink.script('rcpt', 'hang');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: false });
    stage.pass(2000);
    await stage.deliver();
    expect(last(bo)?.state).toBe('sent');
    stage.pass(MINUTE);
    await stage.deliver();
    expect(to()).toEqual(['bo@walkers.example', 'ana@walkers.example']);
  });

  it('a hang after the message leaves it unsure, and the others go on at once', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.sink.script('end', 'hang');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: true });
    expect(last(bo)?.state).toBe('sent');
  });

  it('a connection dropped after the message, before the answer, repeats it once with the same Message-ID', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('end', 'swallow');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: true });
    stage.pass(2 * MINUTE);
    await stage.deliver();
    expect(last(ana)?.state).toBe('sent');
    const ids = (await Promise.all(stage.sink.mails.map(parsed))).map((mail) => mail.messageId);
    expect(ids).toHaveLength(2);
    expect(ids[0]).toBe(ids[1]);
  });

  it('a connection dropped before the message is no doubt at all', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 'drop');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: false });
  });

  it('a connection dropped after the 250 changes nothing; the next mail takes a new one', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.sink.script('end', 'drop after');
    await stage.deliver();
    stage.pass(5 * MINUTE);
    await stage.deliver();
    expect([stage.story(ana), stage.story(bo)]).toEqual(['confirmation sent', 'confirmation sent']);
    expect(to()).toEqual(['ana@walkers.example', 'bo@walkers.example']);
  });

  it('an absent server is not asked sixty times in a row', async () => {
    for (let one = 0; one < 12; one += 1) stage.signUp(`walker${one}@walkers.example`, `Walker ${one}`);
    stage.sink.script('greeting', ...Array.from({ length: 12 }, () => 421));
    await stage.deliver();
    expect(stage.sink.connections()).toBe(1);
    await stage.deliver();
    expect(stage.sink.connections()).toBe(1);
    stage.pass(MINUTE);
    await stage.deliver();
    expect(stage.sink.connections()).toBe(2);
  });

  it('retries come after fresh mail', async () => {
    stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    stage.signUp('bo@walkers.example', 'Bo');
    await stage.deliver();
    expect(to()).toEqual(['bo@walkers.example', 'ana@walkers.example']);
  });

  it('gives up after three days, and says why', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', ...Array.from({ length: 100 }, () => 450));
    for (let hour = 0; hour < 72; hour += 1) {
      await stage.deliver();
      stage.pass(HOUR);
    }
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'failed', lastError: expect.stringMatching(/^Given up. The last try: 450/) });
  });

  it('gives up at gathering, where that is first', async () => {
    stage.site.clock.now = Date.UTC(2026, 11, 5, 12);
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    stage.site.clock.now = Date.UTC(2026, 11, 5, 13, 45);
    await stage.deliver();
    expect(last(ana)?.state).toBe('failed');
    expect(stage.sink.mails).toHaveLength(0);
  });
});

describe('edits while mail is stuck', () => {
  it('a confirmation that waited a day for the server says what is true by then, and no change notice follows', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('greeting', 421);
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(DAY);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent');
    expect((await parsed(stage.sink.mails[0])).text).toMatch(/Gather: .*8:00.AM EST/);
    expect(stage.told(ana)).toBe(2);
  });

  /** Edits the walk in the very moment the sink has reached a step; then time passes before it answers. */
  function editAt(step: 'rcpt' | 'end', change: Parameters<Stage['edit']>[0], passes = 0): void {
    let done = false;
    stage.sink.watch((seen) => {
      if (seen !== step || done) return;
      done = true;
      stage.edit(change);
      stage.pass(passes);
    });
  }

  it('an edit while the confirmation is in flight follows as a change', async () => {
    const ana = stage.signUp('ana@walkers.example');
    editAt('rcpt', { gather: '08:00' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change pending');
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect((await parsed(stage.sink.mails[1])).text).toMatch(/before: .*8:45.AM EST\s+now: {4}.*8:00.AM EST/);
  });

  it('an edit while the confirmation is in flight, and the flight fails: the confirmation says it, no change follows', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    editAt('rcpt', { gather: '08:00' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation pending');
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent');
    expect((await parsed(stage.sink.mails[0])).text).toMatch(/Gather: .*8:00.AM EST/);
  });

  it('put back while the change is in flight: told again where it landed, nothing where it did not', async () => {
    for (const lands of [true, false]) {
      const stageOf = lands ? stage : await openStage();
      const [before, signUp] = [stage, stageOf.signUp('ana@walkers.example')];
      stage = stageOf;
      await stage.deliver();
      stage.edit({ gather: '08:00' });
      stage.pass(3 * MINUTE);
      if (!lands) stage.sink.script('rcpt', 450);
      editAt('rcpt', { gather: '08:45' });
      await stage.deliver();
      stage.pass(HOUR);
      await stage.deliver();
      expect(stage.story(signUp)).toBe(lands ? 'confirmation sent, change sent, change sent' : 'confirmation sent');
      if (!lands) {
        await closeStage(stage);
        stage = before;
      }
    }
  });

  it('a second edit while a failing change waits is told in one mail', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    stage.edit({ meetingPoint: 'North gate' });
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
    const text = (await parsed(stage.sink.mails[1])).text ?? '';
    expect(text).toMatch(/8:45.AM EST\s+now: {4}.*8:00.AM EST/);
    expect(text).toContain('North gate');
  });

  it('a second edit while the first is in flight and fails is told in one mail', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    stage.sink.script('rcpt', 450);
    editAt('rcpt', { gather: '07:00' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change pending');
    stage.pass(HOUR);
    await stage.deliver();
    expect((await parsed(stage.sink.mails[1])).text).toMatch(/before: .*8:45.AM EST\s+now: {4}.*7:00.AM EST/);
  });

  it('a mail that lands does not restart the hold of the change behind it', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const owedAt = stage.site.clock.now + 1000;
    editAt('rcpt', { gather: '08:00' }, MINUTE);
    await stage.deliver();
    expect(last(ana)).toMatchObject({ kind: 'change', dueAt: owedAt + 3 * MINUTE });
  });

  it('an edit does not bring the next try of a failing change forward', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.sink.script('rcpt', 450, 450, 450, 450, 450);
    for (let minute = 0; minute < 45; minute += 1) {
      stage.pass(MINUTE);
      await stage.deliver();
    }
    const before = last(ana)?.dueAt ?? 0;
    expect(before).toBeGreaterThan(stage.site.clock.now + 10 * MINUTE);
    stage.edit({ gather: '07:00' });
    expect(last(ana)).toMatchObject({ dueAt: before });
  });

  it('where a mail may have arrived, it goes again as it was, then the change from it', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('end', 'swallow');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
    const texts = (await Promise.all(stage.sink.mails.map(parsed))).map((mail) => mail.text ?? '');
    expect(texts[1]).toBe(texts[0]);
    expect(texts[2]).toMatch(/before: .*8:45.AM EST\s+now: {4}.*8:00.AM EST/);
  });

  it('where a change may have arrived and never will again, the next tells what either reader needs', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    stage.sink.script('end', 'hang', 550);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change failed');
    stage.edit({ meetingPoint: 'North gate' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    const text = (await parsed(stage.sink.mails.at(-1))).text ?? '';
    expect(text).toContain('now:    North gate');
    expect(text).toMatch(/before: .*8:45.AM EST\s+now: {4}.*8:00.AM EST/);
  });

  it('where a change may have arrived, the next starts from it', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    stage.sink.script('end', 'hang', 550);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    await stage.deliver();
    stage.edit({ gather: '07:00' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change failed, change sent');
    expect((await parsed(stage.sink.mails.at(-1))).text).toMatch(/before: .*8:00.AM EST\s+now: {4}.*7:00.AM EST/);
  });

  it('cancelled while the change is in flight and fails: only the cancellation goes', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    stage.sink.script('rcpt', 450);
    let done = false;
    stage.sink.watch((seen) => {
      if (seen !== 'rcpt' || done) return;
      done = true;
      cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'other', reason: 'Leader is ill' });
    });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change replaced, cancellation sent');
  });

  it('a sign-up that withdrew is still told so after the walk is cancelled', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    withdrawSignUp(stage.site.services, ana);
    cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'other', reason: 'Leader is ill' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, withdrawal sent');
  });
});

describe('what a crash left in flight', () => {
  it('goes again at once, its content as it was, and later news stays behind it', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const { db } = stage.site;
    db.raw
      .prepare("UPDATE notices SET state = 'sending', lease = 'gone', lease_until = ?, attempts = 1")
      .run(stage.site.clock.now + MINUTE);
    stage.edit({ gather: '08:00' });
    const outbox = stage.restart();
    expect(stage.site.log.splice(0)).toHaveLength(1);
    expect(stage.noticesOf(ana)[0]).toMatchObject({ state: 'pending', unsure: true });
    await outbox.drain();
    expect(stage.story(ana)).toBe('confirmation sent, change pending');
  });

  it('does not go again where the walk was cancelled meanwhile', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const { db, services, clock, log } = stage.site;
    db.raw.prepare("UPDATE notices SET state = 'sending', lease = 'gone', lease_until = ?, attempts = 1").run(clock.now + MINUTE);
    cancelWalk(services, stage.walkId, stage.leaderId, { kind: 'other', reason: 'Leader is ill' });
    const outbox = stage.restart();
    expect(log.splice(0)).toHaveLength(1);
    await outbox.drain();
    expect(stage.story(ana)).toBe('confirmation replaced, cancellation sent');
  });

  it('comes back when its lease runs out, and an answer with a lost lease counts for nothing', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const { db, clock } = stage.site;
    db.raw.prepare("UPDATE notices SET state = 'sending', lease = 'gone', lease_until = ?, attempts = 1").run(clock.now + MINUTE);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sending');
    stage.pass(MINUTE);
    await stage.deliver();
    expect(stage.site.log.splice(0)).toHaveLength(1);
    expect(stage.story(ana)).toBe('confirmation sent');
  });

  it('one broken row holds nobody up', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.site.db.raw.prepare(`UPDATE notices SET content = '{"walk":{}}' WHERE sign_up_id = ?`).run(ana);
    await stage.deliver();
    expect(stage.site.log.splice(0).join()).toContain('a mail could not be made');
    expect([stage.story(ana), stage.story(bo)]).toEqual(['confirmation failed', 'confirmation sent']);
  });

  it('notices that can not be brought in line do not make the sent one go for ever', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    const { raw } = stage.site.db;
    // A notice behind it, about a version that is not there.
    raw
      .prepare(`INSERT INTO notices (event, kind, state, walk_id, sign_up_id, version, to_name, to_email, message_id, content, created_at, due_at, give_up_at)
      SELECT 'broken', kind, state, walk_id, sign_up_id, 99, to_name, to_email, '<broken@walks.example>', '{"walk":{}}', created_at, due_at + 999999999, give_up_at
      FROM notices WHERE kind = 'change'`)
      .run();
    raw.prepare('UPDATE sign_ups SET told_version = 98').run();
    await stage.deliver();
    expect(stage.site.log.splice(0).join()).toContain('could not be brought in line');
    expect(stage.sink.mails).toHaveLength(2);
    expect(stage.story(ana)).toBe('confirmation sent, change sent, change pending');
  });
});
