import type { Statement } from 'better-sqlite3';
import { afterEach, expect, it, vi } from 'vitest';
import { oweChanges } from '../../server/notices/owe.js';
import { oweContext } from '../../server/walks/save.js';
import { closeStage, openStage, type Stage } from './stage.js';

let stage: Stage;
afterEach(() => closeStage(stage));

/** How many SELECTs `work` runs. */
function selects(work: () => void): number {
  const proto = Object.getPrototypeOf(stage.site.db.raw.prepare('SELECT 1')) as Statement;
  const spies = [vi.spyOn(proto, 'all'), vi.spyOn(proto, 'get')];
  work();
  const sources = spies.flatMap((spy) => spy.mock.contexts.map((statement) => (statement as Statement).source));
  for (const spy of spies) spy.mockRestore();
  return sources.filter((source) => /^\s*select/i.test(source)).length;
}

it('owing a change to many reads no more than owing it to one', async () => {
  const counts: number[] = [];
  for (const walkers of [1, 12]) {
    stage = await openStage();
    for (let one = 0; one < walkers; one += 1) stage.signUp(`walker${one}@walkers.example`, `Walker ${one}`);
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    const { db, services } = stage.site;
    counts.push(selects(() => db.write((tx) => oweChanges(tx, oweContext(services), stage.walkId, { offered: false }))));
    if (walkers === 1) await closeStage(stage);
  }
  expect(counts[0]).toBeGreaterThan(0);
  expect(counts[1]).toBe(counts[0]);
});
