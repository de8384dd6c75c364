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

const last = (signUp: number) => stage.noticesOf(signUp).at(-1);

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

  it.each([
    ['may have arrived', 'end', 'swallow'],
    ['did not', 'rcpt', 450],
  ] as const)('urgent news does not wait for the next try of a confirmation that %s', async (_, step, act) => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script(step, act);
    await stage.deliver();
    const { now } = stage.site.clock;
    stage.site.db.raw.prepare('UPDATE notices SET due_at = ?').run(now + 2 * HOUR);
    const before = stage.sink.mails.length;
    stage.edit({ date: '2026-11-26', gather: '06:00', setOff: '06:30' });
    await stage.deliver();
    expect(stage.noticesOf(ana).every((row) => row.state === 'sent')).toBe(true);
    expect((await parsed(stage.sink.mails.at(-1))).text).toMatch(/Gather: .*Nov 26/);
    expect(stage.sink.mails.length).toBeGreaterThan(before);
  });

  it('news that is not urgent does', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    const dueAt = last(ana)?.dueAt;
    stage.edit({ gather: '08:00' });
    expect(last(ana)?.dueAt).toBe(dueAt);
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
    stage.hurry();
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
    stage.hurry();
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
