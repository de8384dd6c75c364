import type { Db, Tx } from '../db/open.js';
import type { OweContext } from './compose.js';
import type { NoticeKind } from './content.js';
import { KINDS } from './kinds.js';
import { settleAfterAttempt } from './settle.js';
import { stillStands } from './stands.js';

/** Longer than any one attempt may take (transport.ts), so that a row is never sent by two hands. */
export const LEASE_MS = 60_000;
const BATCH = 20;

/** A claimed notice, as the table has it: its content is read only where an error in it can be caught. */
export interface Claimed {
  id: number;
  kind: NoticeKind;
  signUpId: number | null;
  version: number | null;
  toName: string;
  toEmail: string;
  messageId: string;
  /** JSON */
  content: string;
  createdAt: number;
  giveUpAt: number;
  attempts: number;
  lastError: string | null;
  lease: string;
  /** Names the mail, where it goes with others. */
  lot: string | null;
}

/** What goes as one mail: one notice, or all that one edit of several walks owes one address. The oldest first. */
export type Claim = [Claimed, ...Claimed[]];

/** How an attempt ended. */
export type Ended =
  | { state: 'sent' | 'kept' | 'replaced' }
  | { state: 'failed'; error: string; unsure: boolean }
  | { state: 'pending'; error: string; unsure: boolean; dueAt: number };

/** The worker's side of the notices table. Statements are prepared once: they run for every mail. Call within one write transaction. */
export interface Queue {
  /** Takes the next notice that is due, with those that go in the same mail, or none. Rows past their time are failed on the way, those that stand no more are taken back. */
  claim: (context: OweContext, lease: string) => Claim | undefined;
  /** Stores how an attempt ended and brings the sign-up's other notices in line; false where the lease was lost meanwhile. */
  end: (tx: Tx, context: OweContext, claimed: Claimed, ended: Ended) => boolean;
  /** Puts rows left in flight back: all of them at the start, later those whose lease has run out. Gives how many. */
  release: (tx: Tx, context: OweContext, which: 'all' | 'expired') => number;
}

/** An older notice of the same sign-up that is still open goes first. */
const ITS_TURN = `(n.kind IN (${kindList((kind) => !KINDS[kind].inTurn)}) OR NOT EXISTS (
  SELECT 1 FROM notices o WHERE o.sign_up_id = n.sign_up_id AND o.state IN ('pending', 'sending') AND o.id < n.id
  AND o.kind IN (${kindList((kind) => KINDS[kind].inTurn)})))`;

function kindList(which: (kind: NoticeKind) => boolean): string {
  return (Object.keys(KINDS) as NoticeKind[])
    .filter(which)
    .map((kind) => `'${kind}'`)
    .join(', ');
}

const CLAIMED = `id, kind, sign_up_id AS signUpId, version, to_name AS toName, to_email AS toEmail, message_id AS messageId, content,
       created_at AS createdAt, give_up_at AS giveUpAt, attempts, last_error AS lastError, lease, lot`;

function prepare(db: Db) {
  const { raw } = db;
  return {
    // Someone is waiting before the sign-in page: those go first. The doubled condition names the partial index.
    people: raw.prepare<[number], { id: number }>(
      `SELECT n.id FROM notices n WHERE n.sign_up_id IS NULL AND n.state IN ('pending', 'sending') AND n.state = 'pending' AND n.due_at <= ? AND n.kind NOT IN (${kindList((kind) => KINDS[kind].bulk === true)}) ORDER BY n.id LIMIT ${BATCH}`,
    ),
    fresh: raw.prepare<[number], { id: number }>(
      `SELECT n.id FROM notices n WHERE n.state = 'pending' AND n.due_at <= ? AND n.attempts = 0 AND ${ITS_TURN} ORDER BY n.due_at, n.id LIMIT ${BATCH}`,
    ),
    retried: raw.prepare<[number], { id: number }>(
      `SELECT n.id FROM notices n WHERE n.state = 'pending' AND n.due_at <= ? AND n.attempts > 0 AND ${ITS_TURN} ORDER BY n.due_at, n.id LIMIT ${BATCH}`,
    ),
    // With its first try a mail of several notices gets a name of its own: none joins it later, since a mail program that has seen its
    // Message-ID would not show the longer one.
    take: raw.prepare<[string, number, number, number], Claimed>(
      `UPDATE notices AS n SET state = 'sending', lease = ?, lease_until = ?, attempts = attempts + 1,
       lot = CASE WHEN attempts = 0 THEN lot || '#' || id ELSE lot END
       WHERE n.id = ? AND n.state = 'pending' AND n.due_at <= ? AND ${ITS_TURN}
       RETURNING ${CLAIMED}`,
    ),
    join: raw.prepare<[string, number, string, string, string, NoticeKind, number, number, number], Claimed>(
      `UPDATE notices AS n SET state = 'sending', lease = ?, lease_until = ?, attempts = attempts + 1, lot = ?
       WHERE n.lot = ? AND n.to_email = ? AND n.kind = ? AND n.attempts = ? AND n.id <> ?
       AND n.state = 'pending' AND n.due_at <= ? AND ${ITS_TURN}
       RETURNING ${CLAIMED}`,
    ),
    finish: raw.prepare<[string, number | null, string | null, number, number, number, string]>(
      `UPDATE notices SET state = ?, ended_at = ?, last_error = ?, unsure = max(unsure, ?), due_at = ?, lease = NULL, lease_until = NULL
       WHERE id = ? AND state = 'sending' AND lease = ?`,
    ),
    told: raw.prepare<[number, number]>('UPDATE sign_ups SET told_version = max(coalesce(told_version, 0), ?) WHERE id = ?'),
    toldFirst: raw.prepare<[number, number]>('UPDATE sign_ups SET told_version = ? WHERE id = ? AND told_version IS NULL'),
    others: raw.prepare<[number], { id: number }>(
      `SELECT id FROM notices WHERE sign_up_id = ? AND state IN ('pending', 'sending') LIMIT 1`,
    ),
    release: raw.prepare<[number, number], { signUpId: number | null }>(
      `UPDATE notices SET state = 'pending', unsure = 1, due_at = ?, lease = NULL, lease_until = NULL,
       last_error = 'It was being sent when the service stopped.'
       WHERE state = 'sending' AND lease_until <= ? RETURNING sign_up_id AS signUpId`,
    ),
  };
}

/**
 * @param onFault told of what could not be worked out for a sign-up; the mail itself is stored as it ended all the same
 * @param onGivenUp told of each mail that is given up for good, and why
 */
export function openQueue(
  db: Db,
  onFault: (error: unknown, signUpId: number) => void,
  onGivenUp: (claimed: Claimed, why: string) => void = () => {},
): Queue {
  const statements = prepare(db);
  let batch: number[] = [];

  function claim(context: OweContext, lease: string): Claim | undefined {
    const { now } = context;
    for (let asked = false; ; ) {
      const urgent = batch.length === 0 ? undefined : statements.people.get(now)?.id;
      const id = urgent ?? batch.shift();
      if (id === undefined) {
        if (asked) return undefined;
        asked = true;
        batch = candidates(now);
        continue;
      }
      const row = statements.take.get(lease, now + LEASE_MS, id, now);
      if (!row) continue;
      asked = false;
      if (!stands(context, row)) {
        end(db.q, context, row, { state: 'replaced' });
        continue;
      }
      const rows = [row, ...othersOfLot(row, now)].sort((a, b) => a.id - b.id);
      for (const late of rows.filter((one) => one.giveUpAt <= now)) giveUp(context, late);
      const [first, ...rest] = rows.filter((one) => one.giveUpAt > now);
      if (first) return [first, ...rest];
    }
  }

  /** One whose content is broken goes on, to fail where that is caught. */
  function stands(context: OweContext, row: Claimed): boolean {
    try {
      return stillStands(db.q, context, row);
    } catch (error) {
      if (error instanceof SyntaxError || error instanceof TypeError) return true;
      throw error;
    }
  }

  /** What goes in the same mail as a row just taken: what is due and at its turn of the same lot to the same address, tried as often. */
  function othersOfLot(row: Claimed, now: number): Claimed[] {
    const { lot, id, attempts } = row;
    if (lot === null) return [];
    const before = attempts === 1 ? lot.slice(0, -`#${id}`.length) : lot;
    return statements.join.all(row.lease, now + LEASE_MS, lot, before, row.toEmail, row.kind, attempts - 1, id, now);
  }

  function candidates(now: number): number[] {
    const found = [statements.people, statements.fresh].flatMap((statement) => statement.all(now));
    return (found.length > 0 ? found : statements.retried.all(now)).map((row) => row.id);
  }

  /** A row whose time is over before this try: it was claimed only to be failed. */
  function giveUp(context: OweContext, row: Claimed): void {
    const error = row.lastError ? `Given up. The last try: ${row.lastError}` : 'Its time was over before it could be sent.';
    end(db.q, context, row, { state: 'failed', error, unsure: false });
  }

  function finish(now: number, claimed: Claimed, ended: Ended): boolean {
    const isOver = ended.state !== 'pending';
    const error = 'error' in ended ? ended.error : null;
    const unsure = 'unsure' in ended && ended.unsure ? 1 : 0;
    const dueAt = ended.state === 'pending' ? ended.dueAt : now;
    const { changes } = statements.finish.run(ended.state, isOver ? now : null, error, unsure, dueAt, claimed.id, claimed.lease);
    return changes === 1;
  }

  function end(tx: Tx, context: OweContext, claimed: Claimed, ended: Ended): boolean {
    if (!finish(context.now, claimed, ended)) return false;
    if (ended.state === 'failed') onGivenUp(claimed, ended.error);
    const { signUpId } = claimed;
    if (signUpId === null) return true;
    if (ended.state === 'sent' || ended.state === 'kept') storeTold(claimed, signUpId);
    if (statements.others.get(signUpId)) settle(tx, context, signUpId);
    return true;
  }

  function storeTold({ kind, version }: Claimed, signUpId: number): void {
    if (version === null || !KINDS[kind].carriesFacts) return;
    const statement = KINDS[kind].announces ? statements.told : statements.toldFirst;
    statement.run(version, signUpId);
  }

  /** In a savepoint: a sign-up whose other notices are broken must not keep this one's end from being stored, or it would go for ever. */
  function settle(tx: Tx, context: OweContext, signUpId: number): void {
    try {
      db.raw.transaction(() => settleAfterAttempt(tx, context, signUpId))();
    } catch (error) {
      onFault(error, signUpId);
    }
  }

  function release(tx: Tx, context: OweContext, which: 'all' | 'expired'): number {
    const { now } = context;
    const rows = statements.release.all(now, which === 'all' ? Number.MAX_SAFE_INTEGER : now);
    for (const { signUpId } of rows) if (signUpId !== null) settle(tx, context, signUpId);
    return rows.length;
  }

  return { claim, end, release };
}
