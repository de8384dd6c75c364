import { join } from 'node:path';
import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { connect, type Db, wrap } from '../../server/db/open.js';
import { areas, leaders, people, sessions } from '../../server/db/schema/index.js';
import { Sealer } from '../../server/db/seal.js';
import { endAllSessions, endSession, personOfSession, SESSION_MS, startSession } from '../../server/people/sessions.js';
import type { Services } from '../../server/services.js';

const DAY_MS = 24 * 60 * 60_000;
const START = Date.UTC(2026, 10, 25, 12);

let db: Db;
let now: number;
let services: Services;
let ana: number;

beforeEach(() => {
  const raw = connect(':memory:');
  migrate(raw, readMigrations(join(ROOT, 'migrations')));
  db = wrap(raw);
  now = START;
  let secrets = 0;
  const parts = { db, sealer: new Sealer(Buffer.alloc(32, 1)), now: () => now, secret: () => `secret-${secrets++}` };
  services = parts as unknown as Services;
  ana = db.write((tx) => tx.insert(people).values({ name: 'Ana', email: 'ana@walkers.example', createdAt: now }).returning().get()).id;
  return () => db.close();
});

function signIn(): string {
  return db.write((tx) => startSession(tx, services, ana));
}

describe('a session', () => {
  it('knows its person, and has a form token of its own', () => {
    const [first, second] = [signIn(), signIn()];
    const visitor = personOfSession(services, first);
    expect(visitor?.person).toEqual({ id: ana, name: 'Ana', email: 'ana@walkers.example', coordinator: false, leader: false });
    expect(visitor?.csrf).toMatch(/^[\w-]{43}$/);
    expect(visitor?.csrf).not.toBe(personOfSession(services, second)?.csrf);
    expect(personOfSession(services, 'guess')).toBeNull();
  });

  it('is kept as a hash only', () => {
    const token = signIn();
    expect(JSON.stringify(db.q.select().from(sessions).all())).not.toContain(token);
  });

  it('lasts thirty days from when it was last seen, to the millisecond', () => {
    const token = signIn();
    now = START + SESSION_MS - 1;
    expect(personOfSession(services, token)).not.toBeNull();
    now = START + SESSION_MS - 1 + SESSION_MS;
    expect(personOfSession(services, token)).toBeNull();
  });

  it('is written at most once a day for having been seen', () => {
    const token = signIn();
    const writes = db.writes();
    now = START + DAY_MS - 1;
    personOfSession(services, token);
    expect(db.writes()).toBe(writes);
    now = START + DAY_MS;
    personOfSession(services, token);
    personOfSession(services, token);
    expect(db.writes()).toBe(writes + 1);
    expect(db.q.select().from(sessions).get()).toMatchObject({ seenAt: now, expiresAt: now + SESSION_MS });
  });

  it('reads roles anew at each request', () => {
    const token = signIn();
    db.write((tx) => {
      const area = { slug: 'a', name: 'A', lat: 0, lon: 0, radiusMetres: 1, zone: 'UTC', emergencyNumber: '112', createdAt: now };
      const { id } = tx.insert(areas).values(area).returning().get();
      tx.insert(leaders).values({ personId: ana, areaId: id, state: 'approved', sinceMonth: '2026-11', createdAt: now }).run();
      tx.update(people).set({ coordinator: true }).where(eq(people.id, ana)).run();
    });
    expect(personOfSession(services, token)?.person).toMatchObject({ coordinator: true, leader: true });
    db.write((tx) => tx.update(leaders).set({ state: 'stood_down' }).run());
    expect(personOfSession(services, token)?.person).toMatchObject({ coordinator: true, leader: false });
  });

  it('is nobody once the person is disabled', () => {
    const token = signIn();
    db.write((tx) => tx.update(people).set({ disabledAt: now }).run());
    expect(personOfSession(services, token)).toBeNull();
  });

  it('ends alone, or with all others of the person', () => {
    const [first, second, third] = [signIn(), signIn(), signIn()];
    db.write((tx) => endSession(tx, first));
    expect(personOfSession(services, first)).toBeNull();
    expect(personOfSession(services, second)).not.toBeNull();
    db.write((tx) => endAllSessions(tx, ana));
    expect(personOfSession(services, second)).toBeNull();
    expect(personOfSession(services, third)).toBeNull();
  });

  it('takes expired ones away when another begins', () => {
    signIn();
    now = START + SESSION_MS + 1;
    signIn();
    expect(db.q.select().from(sessions).all()).toHaveLength(1);
  });
});
