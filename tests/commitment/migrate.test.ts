import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';

it('gives each leader of before their term: until the month the log says, or the one after their last walk', () => {
  const raw = new Database(':memory:');
  const steps = readMigrations(join(ROOT, 'migrations'));
  migrate(raw, steps.slice(0, 3));
  raw.exec(
    `INSERT INTO areas (id, slug, name, lat, lon, radius_metres, zone, emergency_number, created_at) VALUES (1, 'a', 'A', 0, 0, 1, 'UTC', '911', 0);`,
  );
  const leader = (id: number, state: string) => {
    raw.prepare('INSERT INTO people (id, name, email, created_at) VALUES (?, ?, ?, 0)').run(id, `L${id}`, `${id}@walks.example`);
    raw.prepare(`INSERT INTO leaders VALUES (?, 1, ?, '2026-03', 7)`).run(id, state);
  };
  const downAt = (id: number, at: string) =>
    raw.prepare(`INSERT INTO audit_log (at, action, subject) VALUES (?, 'stood a leader down', ?)`).run(Date.parse(at), `person:${id}`);
  leader(1, 'approved');
  downAt(1, '2026-04-10T12:00:00Z');
  leader(2, 'stood_down');
  downAt(2, '2026-05-10T12:00:00Z');
  downAt(2, '2026-07-10T12:00:00Z');
  leader(3, 'stood_down');
  downAt(3, '2026-08-01T03:00:00Z');
  leader(4, 'stood_down');
  raw.exec(`INSERT INTO walks (id, uid, state, area_id, route_name, locality, wall_date, wall_time, wall_set_off, zone, gather_at, set_off_at, month,
    meeting_point, landmark, distance_metres, capacity, created_at, updated_at)
    SELECT value, 'u' || value, 'posted', 1, 'r', 'l', '2026-12-05', '09:00', '09:00', 'UTC', 1, 1, '2026-12', 'm', 'l', 1, 1, 1, 1 FROM json_each('[1]');
    INSERT INTO walk_leaders VALUES (1, 4, 'co-leader');`);
  leader(5, 'stood_down');
  migrate(raw, steps);
  expect(raw.prepare('SELECT person_id, from_month, until_month, at FROM leader_terms ORDER BY person_id').raw().all()).toEqual([
    [1, '2026-03', null, 7],
    [2, '2026-03', '2026-07', 7],
    [3, '2026-03', '2026-07', 7],
    [4, '2026-03', '2027-01', 7],
    [5, '2026-03', '2026-03', 7],
  ]);
});
