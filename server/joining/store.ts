import { and, desc, eq, ne, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { applications, areas, people } from '../db/schema/index.js';
import type { ApplicationForm } from './form.js';
import type { Applicant } from './progress.js';

export type ApplicationRow = typeof applications.$inferSelect;

/** Someone's open application; undefined where they have none. */
export function openApplication(q: Tx, personId: number): ApplicationRow | undefined {
  return q
    .select()
    .from(applications)
    .where(and(eq(applications.personId, personId), sql`${applications.state} = 'open'`))
    .get();
}

/** Someone's latest application, whatever became of it. */
export function latestApplication(q: Tx, personId: number): ApplicationRow | undefined {
  return q.select().from(applications).where(eq(applications.personId, personId)).orderBy(desc(applications.id)).limit(1).get();
}

/** An application with whose it is. */
export interface FoundApplication {
  application: ApplicationRow;
  /** The address they sign in with. */
  email: string;
  areaName: string;
}

/** Whose it is, as those who ask how far they are need it. Pure. */
export function applicantOf({ application, email }: FoundApplication): Applicant {
  return { id: application.personId, email, application };
}

const FOUND = { application: applications, email: people.email, areaName: areas.name };

export function applicationById(q: Tx, id: number): FoundApplication | undefined {
  return q
    .select(FOUND)
    .from(applications)
    .innerJoin(people, eq(people.id, applications.personId))
    .innerJoin(areas, eq(areas.id, applications.areaId))
    .where(eq(applications.id, id))
    .get();
}

const MOST_DECIDED = 20;

/** All open applications, the oldest first. */
export function openApplications(q: Tx): FoundApplication[] {
  return q
    .select(FOUND)
    .from(applications)
    .innerJoin(people, eq(people.id, applications.personId))
    .innerJoin(areas, eq(areas.id, applications.areaId))
    .where(eq(applications.state, 'open'))
    .orderBy(applications.id)
    .all();
}

/** Those decided or withdrawn lately, the latest first. */
export function decidedApplications(q: Tx): FoundApplication[] {
  // The index leads with the state: naming the three keeps the query on it.
  const states = sql`${applications.state} IN ('approved', 'declined', 'withdrawn')`;
  return q
    .select(FOUND)
    .from(applications)
    .innerJoin(people, eq(people.id, applications.personId))
    .innerJoin(areas, eq(areas.id, applications.areaId))
    .where(and(states, ne(applications.state, 'open')))
    .orderBy(desc(applications.decidedAt))
    .limit(MOST_DECIDED)
    .all();
}

/** How many applications wait for a decision. */
export function waitingApplications(q: Tx): number {
  return q.get<{ count: number }>(sql`SELECT count(*) AS count FROM applications WHERE state = 'open'`).count;
}

/** Keeps what someone applies with: as a new application, or in the open one, which stays the same one. Gives its number. */
export function keepApplication(tx: Tx, personId: number, form: ApplicationForm, now: number): { id: number; isNew: boolean } {
  const open = openApplication(tx, personId);
  if (open) {
    tx.update(applications)
      .set({ ...form, changedAt: now })
      .where(eq(applications.id, open.id))
      .run();
    return { id: open.id, isNew: false };
  }
  const row = { ...form, personId, state: 'open' as const, createdAt: now, changedAt: now };
  return { id: tx.insert(applications).values(row).returning({ id: applications.id }).get().id, isNew: true };
}

/** Changes an application that is still open; false where it no longer is. */
export function changeOpen(tx: Tx, id: number, set: Partial<ApplicationRow>): boolean {
  return (
    tx
      .update(applications)
      .set(set)
      .where(and(eq(applications.id, id), eq(applications.state, 'open')))
      .run().changes === 1
  );
}

/** Closes the open application of someone who was made a leader without it. */
export function settleApplication(tx: Tx, personId: number, by: number, now: number): void {
  const open = openApplication(tx, personId);
  if (open) changeOpen(tx, open.id, { state: 'approved', decidedAt: now, decidedBy: by });
}

/** Everyone who coordinates and may sign in: whom news of applications goes to. */
export function coordinators(q: Tx): { id: number; name: string; email: string }[] {
  // Written out, not as a parameter: the index on coordinators is found by these words.
  return q
    .select({ id: people.id, name: people.name, email: people.email })
    .from(people)
    .where(and(sql`${people.coordinator} = 1`, sql`${people.disabledAt} IS NULL`))
    .all();
}
