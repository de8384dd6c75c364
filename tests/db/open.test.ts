import { expect, it } from 'vitest';
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
