import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { notices } from '../../server/db/schema/index.js';
import { messagesOf, sendMessage } from '../../server/messages/store.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { closeStage, MINUTE, openStage, type Stage } from '../notices/stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

const LENA = () => ({ id: stage.leaderId, name: 'Lena Marsh', email: 'leader@waymeet.example' });
const HATS = { subject: 'Hats', text: 'Bring one.' };
const kept = () => messagesOf(stage.site.db.q, stage.walkId);

it('a message is kept with its walk, and counts each mail once', () => {
  expect(sendMessage(stage.site.services, stage.walkId, HATS, LENA())).toBe(true);
  expect(kept()).toEqual([]);
  stage.signUp('ana@walkers.example');
  sendMessage(stage.site.services, stage.walkId, HATS, LENA());
  stage.signUp('bo@walkers.example', 'Bo');
  stage.pass(MINUTE);
  sendMessage(stage.site.services, stage.walkId, HATS, { ...LENA(), name: 'Coe Lindgren' });
  expect(kept()).toMatchObject([{ ...HATS, fromName: 'Lena Marsh', byPersonId: stage.leaderId, audience: 'everyone', count: 2 }]);
});

it('it stays when the mails are forgotten', () => {
  stage.signUp('ana@walkers.example');
  sendMessage(stage.site.services, stage.walkId, HATS, LENA());
  stage.site.db.write((tx) => tx.delete(notices).run());
  expect(kept()).toHaveLength(1);
});

it('it is forgotten two years after the walk, and not a moment sooner', async () => {
  stage.signUp('ana@walkers.example');
  sendMessage(stage.site.services, stage.walkId, HATS, LENA());
  stage.site.clock.now = Date.UTC(2028, 11, 5, 13, 45) - 1;
  await forgetOnTime(stage.site.services);
  expect(kept()).toHaveLength(1);
  stage.pass(1);
  await forgetOnTime(stage.site.services);
  expect(kept()).toEqual([]);
});

it('messages from before there was a table are found in their mails', () => {
  const raw = new Database(':memory:');
  const steps = readMigrations(join(ROOT, 'migrations'));
  migrate(raw, steps.slice(0, 3));
  raw.exec(readFileSync(join(ROOT, 'tests/db/fixtures/0003.sql'), 'utf8'));
  const walkId = raw.prepare('SELECT min(id) FROM walks').pluck().get() as number;
  const writer = raw
    .prepare('SELECT p.id, p.name FROM people p JOIN walk_leaders l ON l.person_id = p.id WHERE l.walk_id = ?')
    .get(walkId) as {
    id: number;
    name: string;
  };
  raw.exec("DELETE FROM notices WHERE kind = 'message'");
  const at = Date.UTC(2026, 1, 1);
  const put = (event: string, from: string) =>
    raw
      .prepare(
        `INSERT INTO notices (event, kind, state, walk_id, to_name, to_email, message_id, content, created_at, due_at, give_up_at)
         VALUES (?, 'message', 'sent', ?, 'A', 'a@walkers.example', ?, ?, ?, ?, ?)`,
      )
      .run(event, walkId, event, JSON.stringify({ walk: { message: { ...HATS, from, at } } }), at, at, at);
  put('message:x:1', writer.name);
  put('message:x:2', writer.name);
  put('message:y:1', 'Somebody Else');
  migrate(raw, steps);
  expect(raw.prepare('SELECT by_person_id, from_name, subject, text, at, audience, count FROM messages ORDER BY count').all()).toEqual([
    { by_person_id: null, from_name: 'Somebody Else', ...HATS, at, audience: 'everyone', count: 1 },
    { by_person_id: writer.id, from_name: writer.name, ...HATS, at, audience: 'everyone', count: 2 },
  ]);
  raw.close();
});
