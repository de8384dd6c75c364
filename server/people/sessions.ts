import { eq, lt, sql } from 'drizzle-orm';
import type { Db, Tx } from '../db/open.js';
import { leaders, people, sessions } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import type { Services } from '../services.js';
import type { Visitor } from '../web/visitor.js';

const DAY_MS = 24 * 60 * 60_000;
/** A session ends this long after it was last seen. */
export const SESSION_MS = 30 * DAY_MS;

/** Signs `personId` in: a new session with a new token, which goes into the cookie and is kept only as its hash. */
export function startSession(tx: Tx, services: Pick<Services, 'now' | 'secret'>, personId: number): string {
  const now = services.now();
  const token = services.secret();
  tx.delete(sessions).where(lt(sessions.expiresAt, now)).run();
  tx.insert(sessions)
    .values({ tokenHash: hashed(token), personId, createdAt: now, seenAt: now, expiresAt: now + SESSION_MS })
    .run();
  return token;
}

/** Who holds this token, as they stand now; null where the session has ended or the person was disabled. */
export function personOfSession(services: Services, token: string): Visitor | null {
  const tokenHash = hashed(token);
  const row = finder(services.db).get({ tokenHash });
  const now = services.now();
  if (!row || row.disabledAt !== null || row.expiresAt <= now) return null;
  if (now - row.seenAt >= DAY_MS) services.db.write((tx) => seen(tx, tokenHash, now));
  const { id, name, email, coordinator, leaderState } = row;
  return { person: { id, name, email, coordinator, leader: leaderState === 'approved' }, csrf: services.sealer.derive('form', token) };
}

function seen(tx: Tx, tokenHash: string, now: number): void {
  tx.update(sessions)
    .set({ seenAt: now, expiresAt: now + SESSION_MS })
    .where(eq(sessions.tokenHash, tokenHash))
    .run();
}

/** Ends one session, wherever its token came from; nothing happens where there is none. */
export function endSession(tx: Tx, token: string | undefined): void {
  if (token)
    tx.delete(sessions)
      .where(eq(sessions.tokenHash, hashed(token)))
      .run();
}

/** Ends every session of a person: asked for by them, or because their role changed or they were disabled. */
export function endAllSessions(tx: Tx, personId: number): void {
  tx.delete(sessions).where(eq(sessions.personId, personId)).run();
}

const finders = new WeakMap<Db, ReturnType<typeof prepare>>();

/** Every request asks this, so it is prepared once a database. */
function finder(db: Db): ReturnType<typeof prepare> {
  const kept = finders.get(db) ?? prepare(db);
  finders.set(db, kept);
  return kept;
}

function prepare(db: Db) {
  return db.q
    .select({
      id: people.id,
      name: people.name,
      email: people.email,
      coordinator: people.coordinator,
      disabledAt: people.disabledAt,
      leaderState: leaders.state,
      seenAt: sessions.seenAt,
      expiresAt: sessions.expiresAt,
    })
    .from(sessions)
    .innerJoin(people, eq(people.id, sessions.personId))
    .leftJoin(leaders, eq(leaders.personId, people.id))
    .where(eq(sessions.tokenHash, sql.placeholder('tokenHash')))
    .prepare();
}
