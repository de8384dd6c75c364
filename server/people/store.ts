import { desc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaders, people, signUps } from '../db/schema/index.js';
import { nameFromEmail } from './email.js';

export type PersonRow = typeof people.$inferSelect;

export function personByEmail(q: Tx, email: string): PersonRow | undefined {
  return q.select().from(people).where(eq(people.email, email)).get();
}

export function personById(q: Tx, id: number): PersonRow | undefined {
  return q.select().from(people).where(eq(people.id, id)).get();
}

/** How to address whoever reads mail at `email`: their own name, or the one on their latest sign-up; empty where neither is known. */
export function nameAt(q: Tx, email: string): string {
  const person = q.select({ name: people.name }).from(people).where(eq(people.email, email)).get();
  const signUp = q.select({ name: signUps.name }).from(signUps).where(eq(signUps.email, email)).orderBy(desc(signUps.id)).limit(1).get();
  return person?.name ?? signUp?.name ?? '';
}

/** The person of an address that has just been proved; made now if this is their first time. */
export function personAt(tx: Tx, email: string, now: number): PersonRow {
  const known = personByEmail(tx, email);
  if (known) return known;
  const name = nameAt(tx, email) || nameFromEmail(email);
  return tx.insert(people).values({ name, email, createdAt: now }).returning().get();
}

export function saveOwnDetails(tx: Tx, id: number, details: { name: string; phone: string | null }): void {
  tx.update(people).set(details).where(eq(people.id, id)).run();
}

/** Whether a person may lead walks now. */
export function isLeader(q: Tx, personId: number): boolean {
  const row = q.select({ state: leaders.state }).from(leaders).where(eq(leaders.personId, personId)).get();
  return row?.state === 'approved';
}
