import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { countedWalks, walkersByArea } from '../../server/coverage/store.js';
import { bringUp } from '../../server/db/bring-up.js';
import { type Tx, wrap } from '../../server/db/open.js';
import { asksIn } from '../../server/proposals/asks-store.js';
import { datesLed } from '../../server/proposals/store.js';
import { readReport } from '../../server/report/store.js';

const MONTHS = ['2026-11', '2026-12'];

it.each<[string, (q: Tx) => unknown, RegExp]>([
  ['the walks of the board', (q) => countedWalks(q, '2026-11-01', '2026-12-31', null), /area_id=\? AND wall_date>\? AND wall_date<\?/],
  ['the walkers of the board', (q) => walkersByArea(q, '2026-11-01', '2026-11-28'), /area_id=\? AND wall_date>\? AND wall_date<\?/],
  ['what was asked', (q) => asksIn(q, '2026-11', '2026-12'), /asks_month \(month>\? AND month<\?\)/],
  ['the days leaders are taken', (q) => datesLed(q, MONTHS), /walks_\w+ \(month=\?/],
  ['the report', (q) => readReport(q, MONTHS, 0), /walks_\w+ \(month>\? AND month<\?|FROM areas/],
])('%s: each statement goes by the index of the months asked for, however many years are stored', (_, read, bound) => {
  const statements: string[] = [];
  const raw = new Database(':memory:', { verbose: (statement) => statements.push(String(statement)) });
  bringUp(raw, { keys: [Buffer.alloc(32, 3)], from: 'SEAL_KEY' }, () => {});
  statements.length = 0;
  read(wrap(raw).q);
  const own = statements.filter((statement) => /^\s*select/i.test(statement));
  expect(own.length).toBeGreaterThan(0);
  for (const statement of own) {
    const plan = raw.prepare(`EXPLAIN QUERY PLAN ${statement}`).all() as { detail: string }[];
    expect(`${plan.map(({ detail }) => detail).join('\n')}\n${statement}`).toMatch(bound);
  }
  raw.close();
});
