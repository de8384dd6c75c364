import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cancelWalk } from '../../server/walks/save.js';
import { closeStage, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

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
