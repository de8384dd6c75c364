import { and, eq, sql } from 'drizzle-orm';
import { changePledge } from '../commitment/change-store.js';
import { beginTerm, endTerm } from '../commitment/terms.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { leaders, people } from '../db/schema/index.js';
import { GRACE_MS } from '../joining/renewal.js';
import { dropDue } from '../joining/renewals.js';
import { endAllSessions } from '../people/sessions.js';

export interface NewLeader {
  name: string;
  email: string;
  phone: string;
  areaId: number;
  pledge: number;
  /** The first month asked of them, YYYY-MM. */
  month: string;
  /** Until when the agreement they have signed holds, ms; thirty days from now where nothing is said. */
  agreementDueAt?: number;
}

/** Makes someone a leader, or changes what is kept of one; their sessions end, since what they may do has changed. */
export function approveLeader(tx: Tx, leader: NewLeader, by: number, now: number): number {
  const { name, email, phone } = leader;
  const agreementDueAt = leader.agreementDueAt ?? now + GRACE_MS;
  const person = tx
    .insert(people)
    .values({ name, email, phone, createdAt: now })
    .onConflictDoUpdate({ target: people.email, set: { name, phone, disabledAt: null } })
    .returning({ id: people.id })
    .get();
  tx.insert(leaders)
    .values({ personId: person.id, areaId: leader.areaId, state: 'approved', sinceMonth: leader.month, createdAt: now, agreementDueAt })
    .onConflictDoUpdate({
      target: leaders.personId,
      // Whoever comes back keeps what they have signed for.
      set: { areaId: leader.areaId, state: 'approved', agreementDueAt: sql`max(${leaders.agreementDueAt}, ${agreementDueAt})` },
    })
    .run();
  beginTerm(tx, person.id, leader.month, now);
  changePledge(tx, person.id, { fromMonth: leader.month, walks: leader.pledge }, { by, now });
  if (person.id !== by) endAllSessions(tx, person.id);
  writeDown(tx, { at: now, personId: by, action: 'approved a leader', subject: `person:${person.id}` });
  return person.id;
}

/** Someone who was stood down leads again: asked for walks from a month on, YYYY-MM. Changes nothing for one who leads already. */
export function bringBack(tx: Tx, personId: number, month: string, by: number, now: number): void {
  const { changes } = tx
    .update(leaders)
    .set({ state: 'approved' })
    .where(and(eq(leaders.personId, personId), eq(leaders.state, 'stood_down')))
    .run();
  if (changes === 0) return;
  beginTerm(tx, personId, month, now);
  if (personId !== by) endAllSessions(tx, personId);
  writeDown(tx, { at: now, personId: by, action: 'approved a leader', subject: `person:${personId}` });
}

/** A leader who leaves: may post no more, and is signed out everywhere. False where they led no more already. */
export function standDown(tx: Tx, personId: number, by: number, now: number): boolean {
  const { changes } = tx
    .update(leaders)
    .set({ state: 'stood_down' })
    .where(and(eq(leaders.personId, personId), eq(leaders.state, 'approved')))
    .run();
  // Nobody's, or stood down already: an old tab.
  if (changes === 0) return false;
  endTerm(tx, personId, now);
  dropDue(tx, personId);
  if (personId !== by) endAllSessions(tx, personId);
  writeDown(tx, { at: now, personId: by, action: 'stood a leader down', subject: `person:${personId}` });
  return true;
}
