import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { tryAllAgain } from '../../server/notices/again.js';
import { failedOf, queueAge, walkNotices } from '../../server/notices/store.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { browserOf, walkFacts } from '../support/cast.js';
import { closeStage, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

async function failed(email = 'ana@walkers.example', name = 'Ana'): Promise<number> {
  const signUp = stage.signUp(email, name);
  stage.sink.script('rcpt', 550);
  await stage.deliver();
  return stage.noticesOf(signUp)[0]?.id ?? 0;
}

/** Copies a notice, as rows that ended in `state`. */
function copies(id: number, state: string, count: number): void {
  const copy = stage.site.db.raw.prepare(
    `INSERT INTO notices (event, kind, state, walk_id, sign_up_id, version, to_name, to_email, message_id, content, created_at, due_at, give_up_at, ended_at)
     SELECT event || ?, kind, ?, walk_id, sign_up_id, version, to_name, to_email, message_id || ?, content, created_at, due_at, give_up_at, due_at
     FROM notices WHERE id = ?`,
  );
  for (let turn = 0; turn < count; turn += 1) copy.run(`-${turn}`, state, `-${turn}`, id);
}

describe('mail of a walk that failed', () => {
  it('is found however much has gone since', async () => {
    const id = await failed();
    copies(id, 'sent', 250);
    expect(walkNotices(stage.site.db.q, stage.walkId).some((line) => line.id === id)).toBe(false);
    expect(failedOf(stage.site.db.q, stage.walkId).map((line) => line.id)).toEqual([id]);
    expect(failedOf(stage.site.db.q, stage.walkId + 1)).toEqual([]);
  });

  it('is listed a hundred at most', async () => {
    copies(await failed(), 'failed', 120);
    expect(failedOf(stage.site.db.q, stage.walkId)).toHaveLength(100);
  });

  it('is tried again by its leader', async () => {
    const id = await failed();
    const leader = browserOf(stage.site, stage.leaderId);
    const answer = await leader.post(`/lead/walks/${stage.walkId}/notices/${id}/again`);
    expect([answer.status, answer.headers.location]).toEqual([303, `/lead/walks/${stage.walkId}`]);
    await stage.deliver();
    expect(stage.sink.mails.map((mail) => mail.to)).toEqual([['ana@walkers.example']]);
  });

  it('is not there under another walk, nor is mail that is about none', async () => {
    const id = await failed();
    const other = saveNewWalk(stage.site.services, walkFacts({ routeName: 'Ridge' }), stage.leaderId, 'posted');
    const leader = browserOf(stage.site, stage.leaderId);
    for (const wrong of [id, 999, 'x']) expect((await leader.post(`/lead/walks/${other}/notices/${wrong}/again`)).status).toBe(404);
    expect(queueAge(stage.site.db.q, stage.site.clock.now)).toMatchObject({ failed: 1, pending: 0 });
  });
});

describe('trying all again', () => {
  it('tries more than a page of them, and one that is broken holds none back', async () => {
    const id = await failed();
    copies(id, 'failed', 119);
    // Its walk is gone: what it should say can't be worked out.
    const { raw } = stage.site.db;
    raw.pragma('foreign_keys = OFF');
    raw.prepare('UPDATE notices SET walk_id = 999 WHERE id = ?').run(id + 60);
    raw.pragma('foreign_keys = ON');
    await tryAllAgain(stage.site.services);
    expect(stage.site.log.splice(0).join()).toContain('a notice could not be tried again');
    expect(queueAge(stage.site.db.q, stage.site.clock.now)).toMatchObject({ failed: 1, pending: 119 });
  });
});
