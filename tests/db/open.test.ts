import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { connect, connectToRead } from '../../server/db/open.js';
import { people } from '../../server/db/schema/index.js';
import { freshDatabase } from '../support/app.js';

const person = (name: string) => ({ name, email: `${name}@walkers.example`, createdAt: 1 });

it('works of one moment share a transaction, in order, and each stands or falls alone', async () => {
  const db = freshDatabase();
  const before = db.writes();
  const names = ['ana', 'bo', 'ana', 'cy'];
  const outcomes = await Promise.allSettled(
    names.map((name) => db.writeTogether((tx) => tx.insert(people).values(person(name)).returning({ id: people.id }).get().id)),
  );
  expect(outcomes.map((outcome) => (outcome.status === 'fulfilled' ? outcome.value : 'refused'))).toEqual([1, 2, 'refused', 3]);
  expect(
    db.q
      .select({ name: people.name })
      .from(people)
      .all()
      .map((row) => row.name),
  ).toEqual(['ana', 'bo', 'cy']);
  expect(db.writes() - before).toBe(1);
  db.close();
});

it('if the commit fails, every one of them hears of it and nothing is kept', async () => {
  const db = freshDatabase();
  db.raw.pragma('defer_foreign_keys = ON');
  const works = [db.writeTogether((tx) => tx.insert(people).values(person('ana')).run()), db.writeTogether(() => db.raw.exec('ROLLBACK'))];
  const outcomes = await Promise.allSettled(works);
  expect(outcomes.map((outcome) => outcome.status)).toEqual(['rejected', 'rejected']);
  expect(db.q.select().from(people).all()).toEqual([]);
  expect(await db.writeTogether((tx) => tx.insert(people).values(person('bo')).run().changes)).toBe(1);
  db.close();
});

it('every connection to a database is made in one place, with every pragma that it needs', () => {
  const folder = mkdtempSync(join(tmpdir(), 'waymeet-open-'));
  const raw = connect(join(folder, 'a.db'));
  raw.exec('CREATE TABLE t (x)');
  raw.prepare('VACUUM INTO ?').run(join(folder, 'b.db'));
  const copy = connectToRead(join(folder, 'b.db'));
  for (const one of [raw, copy]) {
    const pragmas = ['synchronous', 'foreign_keys', 'busy_timeout', 'secure_delete', 'trusted_schema'];
    expect(pragmas.map((name) => one.pragma(name, { simple: true }))).toEqual([2, 1, 5000, 1, 0]);
  }
  expect(raw.pragma('journal_mode', { simple: true })).toBe('wal');
  expect(() => copy.exec('CREATE TABLE u (x)')).toThrow(/readonly/);
  copy.close();
  expect(readdirSync(folder).filter((name) => name.startsWith('b.'))).toEqual(['b.db']);
  raw.close();
  rmSync(folder, { recursive: true });

  const sources = ['server', 'seed'].flatMap((part) =>
    readdirSync(join(ROOT, part), { recursive: true, encoding: 'utf8' }).map((name) => join(part, name)),
  );
  const making = sources.filter((name) => name.endsWith('.ts') && /new Database\(/.test(readFileSync(join(ROOT, name), 'utf8')));
  // The lock is a database without a table.
  expect(making.sort()).toEqual(['server/db/lock.ts', 'server/db/open.ts']);
});
