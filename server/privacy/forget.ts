import { inArray, lte, type SQL, sql } from 'drizzle-orm';
import type { SQLiteColumn, SQLiteTable } from 'drizzle-orm/sqlite-core';
import { CLOSED_AT_LATEST_MS } from '../contacts/window.js';
import type { Tx } from '../db/open.js';
import {
  askLetters,
  auditLog,
  emergencyContacts,
  handbookReads,
  hazards,
  incidents,
  keptContacts,
  messages,
  notices,
  quizAttempts,
  rollEntries,
  sessions,
  signInLinks,
  turnedUpContacts,
  waiverTraces,
  walkOffers,
} from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { HELD_MEMBERS, HELD_TURNED_UP, HELD_WALKS } from '../incidents/holds.js';
import { forgetAddress } from './erase.js';
import { emptySignUps } from './erase-signups.js';
import { emptyTurnedUp } from './erase-turned-up.js';
import { ERASED, isAddress } from './erased.js';

/**
 * Forgets some of what is due, and gives how many: fewer than `most` when nothing is left.
 * @param due ms: what counts from then or earlier goes
 */
export type Forget = (tx: Tx, due: number, most: number) => number;

/** Rows of a table that has an instant of its own. */
function olderThan(table: SQLiteTable, key: SQLiteColumn, at: SQLiteColumn): Forget {
  return (tx, due, most) => {
    const some = tx.select({ key }).from(table).where(lte(at, due)).limit(most);
    return tx.delete(table).where(inArray(key, some)).run().changes;
  };
}

export const forgetAudit = olderThan(auditLog, auditLog.id, auditLog.at);
export const forgetTraces = olderThan(waiverTraces, waiverTraces.waiverId, waiverTraces.at);
export const forgetKeptContacts = olderThan(keptContacts, keptContacts.id, keptContacts.expiresAt);
export const forgetHazards = olderThan(hazards, hazards.id, hazards.notedAt);
export const forgetSessions = olderThan(sessions, sessions.tokenHash, sessions.expiresAt);
export const forgetLinks = olderThan(signInLinks, signInLinks.id, signInLinks.expiresAt);

/** Emergency contacts of walks that were over by then, as `overAt` has it: of those who signed up and of those who turned up. What an open incident holds stays. */
export const forgetWalkContacts: Forget = (tx, due, most) => {
  const over = sql`(coalesce(w.closed_at, w.gather_at + ${CLOSED_AT_LATEST_MS}) <= ${due} OR w.cancelled_at <= ${due})`;
  const some = sql`SELECT c.member_id FROM emergency_contacts c JOIN party_members m ON m.id = c.member_id
    JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
    WHERE ${over} AND c.member_id NOT IN ${HELD_MEMBERS} LIMIT ${most}`;
  const gone = tx.delete(emergencyContacts).where(sql`${emergencyContacts.memberId} IN (${some})`).run().changes;
  const others = sql`SELECT c.turned_up_id FROM turned_up_contacts c JOIN turned_up t ON t.id = c.turned_up_id JOIN walks w ON w.id = t.walk_id
    WHERE ${over} AND c.turned_up_id NOT IN ${HELD_TURNED_UP} LIMIT ${most - gone}`;
  return gone + tx.delete(turnedUpContacts).where(sql`${turnedUpContacts.turnedUpId} IN (${others})`).run().changes;
};

/** Mail made by then, but for walks that are to come. @param now ms */
export function forgetNotices(now: number): Forget {
  return (tx, due, most) => {
    const some = sql`SELECT n.id FROM notices n LEFT JOIN walks w ON w.id = n.walk_id
      WHERE n.created_at <= ${due} AND (w.id IS NULL OR w.gather_at <= ${now}) LIMIT ${most}`;
    return tx.delete(notices).where(sql`${notices.id} IN (${some})`).run().changes;
  };
}

/** What was written to everyone on walks that gathered by then. */
export const forgetMessages: Forget = (tx, due, most) => {
  const some = sql`SELECT m.id FROM messages m JOIN walks w ON w.id = m.walk_id WHERE w.gather_at <= ${due} LIMIT ${most}`;
  return tx.delete(messages).where(sql`${messages.id} IN (${some})`).run().changes;
};

/** The rolls of walks that gathered by then; not of one on which something happened that is still followed up. */
export const forgetRolls: Forget = (tx, due, most) => {
  const some = sql`SELECT e.id FROM walks w CROSS JOIN roll_entries e ON e.walk_id = w.id
    WHERE w.gather_at <= ${due} AND w.id NOT IN ${HELD_WALKS} LIMIT ${most}`;
  return tx.delete(rollEntries).where(sql`${rollEntries.id} IN (${some})`).run().changes;
};

/** What leaders asked each other about walks that gathered by then. */
export const forgetOffers: Forget = (tx, due, most) => {
  const some = sql`SELECT o.id FROM walk_offers o JOIN walks w ON w.id = o.walk_id WHERE w.gather_at <= ${due} LIMIT ${most}`;
  return tx.delete(walkOffers).where(sql`${walkOffers.id} IN (${some})`).run().changes;
};

/** What leaders were asked for, once the last day of a letter is so long ago; its other days with it. */
export const forgetAsks: Forget = (tx, due, most) => {
  const day = new Date(due).toISOString().slice(0, 10);
  const some = sql`
    SELECT k.letter_id FROM asks k WHERE k.date <= ${day}
      AND NOT EXISTS (SELECT 1 FROM asks o WHERE o.letter_id = k.letter_id AND o.date > ${day}) LIMIT ${most}`;
  return tx.delete(askLetters).where(sql`${askLetters.id} IN (${some})`).run().changes;
};

/** Empties the sign-ups of walks that gathered by then, and who turned up on them; not of a walk on which something happened that is still followed up. */
export const forgetSignUps: Forget = (tx, due, most) => {
  const ids = numbers(
    tx,
    sql`SELECT s.id FROM walks w JOIN sign_ups s ON s.walk_id = w.id
      WHERE w.gather_at <= ${due} AND ${isAddress(sql`s.email`)} AND w.id NOT IN ${HELD_WALKS} LIMIT ${most}`,
  );
  emptySignUps(tx, ids);
  const others = numbers(
    tx,
    sql`SELECT t.id FROM walks w JOIN turned_up t ON t.walk_id = w.id
      WHERE w.gather_at <= ${due} AND t.name <> ${ERASED} AND w.id NOT IN ${HELD_WALKS} LIMIT ${most - ids.length}`,
  );
  emptyTurnedUp(tx, others);
  return ids.length + others.length;
};

/** Incidents that were closed by then, with their record and notes. */
export const forgetIncidents: Forget = (tx, due, most) => {
  const some = sql`SELECT i.id FROM incidents i WHERE i.state = 'closed' AND i.closed_at <= ${due} LIMIT ${most}`;
  return tx.delete(incidents).where(sql`${incidents.id} IN (${some})`).run().changes;
};

function numbers(tx: Tx, query: SQL): number[] {
  return tx.all<{ id: number }>(query).map((row) => row.id);
}

/** Quiz attempts begun and handbook pages marked by then, of people who never became leaders. */
export const forgetQuiz: Forget = (tx, due, most) => {
  const ledNever = (person: SQL) =>
    sql`NOT EXISTS (SELECT 1 FROM leaders l WHERE l.person_id = ${person} AND l.state IN ('approved', 'stood_down'))`;
  const attempts = sql`SELECT a.id FROM quiz_attempts a WHERE a.started_at <= ${due} AND ${ledNever(sql`a.person_id`)} LIMIT ${most}`;
  const gone = tx.delete(quizAttempts).where(sql`${quizAttempts.id} IN (${attempts})`).run().changes;
  const reads = sql`SELECT r.person_id, r.page FROM handbook_reads r WHERE r.at <= ${due} AND ${ledNever(sql`r.person_id`)} LIMIT ${most - gone}`;
  return gone + tx.delete(handbookReads).where(sql`(${handbookReads.personId}, ${handbookReads.page}) IN (${reads})`).run().changes;
};

/**
 * Erases people who have no role, no sign-up and no session, and had none since then. Someone who was shut out stays: erased, they could
 * sign in anew. @param now ms; applications: one decided after that is still kept, and so is whoever made it
 */
export function forgetPeople(services: { sealer: Sealer }, { now, applications }: { now: number; applications: number }): Forget {
  return (tx, due, most) => {
    const rows = tx.all<{ email: string }>(sql`
      SELECT p.email FROM people p
      WHERE p.created_at <= ${due} AND p.coordinator = 0 AND p.disabled_at IS NULL AND ${isAddress(sql`p.email`)}
        AND NOT EXISTS (SELECT 1 FROM sessions s WHERE s.person_id = p.id AND s.expires_at > ${now})
        AND NOT EXISTS (SELECT 1 FROM leaders l WHERE l.person_id = p.id AND l.state = 'approved')
        AND NOT EXISTS (SELECT 1 FROM walk_leaders l JOIN walks w ON w.id = l.walk_id WHERE l.person_id = p.id AND w.gather_at > ${due})
        AND NOT EXISTS (SELECT 1 FROM applications o WHERE o.person_id = p.id AND (o.state = 'open' OR o.decided_at > ${applications}))
        AND NOT EXISTS (SELECT 1 FROM kept_contacts k WHERE k.person_id = p.id)
        AND NOT EXISTS (SELECT 1 FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.email = p.email AND (w.gather_at > ${due} OR w.id IN ${HELD_WALKS}))
        AND NOT EXISTS (SELECT 1 FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
          WHERE m.email = p.email AND (w.gather_at > ${due} OR w.id IN ${HELD_WALKS}))
        AND NOT EXISTS (SELECT 1 FROM turned_up t JOIN walks w ON w.id = t.walk_id
          WHERE t.email = p.email AND t.email <> '' AND (w.gather_at > ${due} OR w.id IN ${HELD_WALKS}))
        AND NOT EXISTS (SELECT 1 FROM audit_log a WHERE a.person_id = p.id AND a.at > ${due})
        AND NOT EXISTS (SELECT 1 FROM quiz_attempts q WHERE q.person_id = p.id AND q.started_at > ${due})
      LIMIT ${most}`);
    for (const { email } of rows) forgetAddress(tx, services, email, now);
    return rows.length;
  };
}
