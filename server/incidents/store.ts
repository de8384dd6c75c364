import { and, asc, count, desc, eq, sql } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { areas, incidentNotes, incidents, incidentVersions, people, walks } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import { NAMED_WALK } from '../walks/named.js';
import type { GivenRecord } from './form.js';
import { letGo } from './holds.js';
import { type IncidentRecord, notePlace, openNote, openRecord, recordPlace } from './record.js';

export type IncidentRow = typeof incidents.$inferSelect;

/** An incident with its walk, as lists and pages name it. Nothing of it is opened. */
export type NamedIncident = ReturnType<typeof incidentById> & object;

const MOST_CLOSED = 50;

function nameOf(column: SQLiteColumn) {
  return sql<string | null>`(SELECT ${people.name} FROM ${people} WHERE ${people.id} = ${column})`;
}

const NAMED = {
  incident: incidents,
  ...NAMED_WALK,
  areaName: areas.name,
  by: nameOf(incidents.byPersonId),
  assigned: nameOf(incidents.assignedTo),
};

function named(q: Tx) {
  return q.select(NAMED).from(incidents).innerJoin(walks, eq(walks.id, incidents.walkId)).innerJoin(areas, eq(areas.id, walks.areaId));
}

export function incidentById(q: Tx, id: number) {
  return Number.isSafeInteger(id) ? named(q).where(eq(incidents.id, id)).get() : undefined;
}

/** Of one walk, the oldest first. */
export function incidentsOn(q: Tx, walkId: number) {
  return named(q).where(eq(incidents.walkId, walkId)).orderBy(asc(incidents.id)).all();
}

/** Open ones, the soonest due first. */
export function openIncidents(q: Tx) {
  // Written out, not as a parameter: the index on open ones is found by these words.
  return named(q).where(sql`${incidents.state} = 'open'`).orderBy(asc(incidents.dueOn), asc(incidents.id)).all();
}

/** The latest that were closed. */
export function closedIncidents(q: Tx) {
  return named(q).where(sql`${incidents.state} = 'closed'`).orderBy(desc(incidents.closedAt)).limit(MOST_CLOSED).all();
}

/** How many notes there are, and how often the record was written. */
export function countsOf(q: Tx, incidentId: number): { notes: number; versions: number } {
  const notes = q.select({ n: count() }).from(incidentNotes).where(eq(incidentNotes.incidentId, incidentId)).get()?.n ?? 0;
  const versions = q.select({ n: count() }).from(incidentVersions).where(eq(incidentVersions.incidentId, incidentId)).get()?.n ?? 0;
  return { notes, versions };
}

interface Writing {
  walkId: number;
  postMark: string;
  by: number;
  now: number;
  dueOn: string;
}

/** Writes down what happened, sealed; undefined where this very form was posted before. */
export function addIncident(tx: Tx, sealer: Sealer, given: GivenRecord, { walkId, postMark, by, now, dueOn }: Writing): number | undefined {
  const row = tx
    .insert(incidents)
    .values({ walkId, postMark, who: given.who, called: given.record.called, state: 'open', dueOn, createdAt: now, byPersonId: by })
    .onConflictDoNothing({ target: [incidents.walkId, incidents.postMark] })
    .returning({ id: incidents.id })
    .get();
  if (!row) return undefined;
  addVersion(tx, sealer, row.id, given.record, { by, now });
  writeDown(tx, { at: now, personId: by, action: 'wrote down an incident', subject: `incident:${row.id}` });
  return row.id;
}

/** The number of the incident that a form made. */
export function incidentOfPost(q: Tx, walkId: number, postMark: string): number | undefined {
  return q
    .select({ id: incidents.id })
    .from(incidents)
    .where(and(eq(incidents.walkId, walkId), eq(incidents.postMark, postMark)))
    .get()?.id;
}

/** Writes the record anew; what it said before stays. */
export function changeIncident(tx: Tx, sealer: Sealer, id: number, given: GivenRecord, made: { by: number; now: number }): void {
  addVersion(tx, sealer, id, given.record, made);
  const before = tx.select({ walkId: incidents.walkId, who: incidents.who }).from(incidents).where(eq(incidents.id, id)).get();
  tx.update(incidents).set({ who: given.who, called: given.record.called }).where(eq(incidents.id, id)).run();
  // Whoever it turns out not to concern is held by it no longer.
  if (before && before.who !== given.who) letGo(tx, before.walkId, before.who);
  writeDown(tx, { at: made.now, personId: made.by, action: 'changed an incident', subject: `incident:${id}` });
}

/** The seal is bound to the row's number, which is known only once there is a row. */
function addVersion(tx: Tx, sealer: Sealer, incidentId: number, record: IncidentRecord, { by, now }: { by: number; now: number }): void {
  const version = countsOf(tx, incidentId).versions + 1;
  const { id } = tx
    .insert(incidentVersions)
    .values({ incidentId, version, recordSealed: Buffer.alloc(0), at: now, byPersonId: by })
    .returning({ id: incidentVersions.id })
    .get();
  tx.update(incidentVersions)
    .set({ recordSealed: sealer.seal(recordPlace(id), record) })
    .where(eq(incidentVersions.id, id))
    .run();
}

export function addNote(tx: Tx, sealer: Sealer, incidentId: number, note: string, { by, now }: { by: number; now: number }): void {
  const { id } = tx
    .insert(incidentNotes)
    .values({ incidentId, noteSealed: Buffer.alloc(0), at: now, byPersonId: by })
    .returning({ id: incidentNotes.id })
    .get();
  tx.update(incidentNotes)
    .set({ noteSealed: sealer.seal(notePlace(id), note) })
    .where(eq(incidentNotes.id, id))
    .run();
  writeDown(tx, { at: now, personId: by, action: 'added a note to an incident', subject: `incident:${incidentId}` });
}

/** Who looks into it, and when it is looked at again. */
export function followUp(
  tx: Tx,
  id: number,
  set: { dueOn: string; assignedTo: number | null },
  { by, now }: { by: number; now: number },
): void {
  tx.update(incidents).set(set).where(eq(incidents.id, id)).run();
  writeDown(tx, { at: now, personId: by, action: 'planned the follow-up of an incident', subject: `incident:${id}` });
}

/** A record as it is read: each version, the newest first, and each note, the oldest first; null where one does not open. */
export interface Opened {
  versions: { version: number; at: number; by: string | null; record: IncidentRecord | null }[];
  notes: { at: number; by: string | null; note: string | null }[];
}

/** Opens a record with its notes and writes down who did, in the same transaction: if that can't be written, nothing is shown. */
export function openIncident(services: Services, id: number, by: number): Opened {
  return services.db.write((tx) => {
    writeDown(tx, { at: services.now(), personId: by, action: 'opened an incident', subject: `incident:${id}` });
    const versions = tx
      .select({ row: incidentVersions, by: nameOf(incidentVersions.byPersonId) })
      .from(incidentVersions)
      .where(eq(incidentVersions.incidentId, id))
      .orderBy(desc(incidentVersions.version))
      .all();
    const notes = tx
      .select({ row: incidentNotes, by: nameOf(incidentNotes.byPersonId) })
      .from(incidentNotes)
      .where(eq(incidentNotes.incidentId, id))
      .orderBy(asc(incidentNotes.id))
      .all();
    return {
      versions: versions.map(({ row, by: name }) => ({
        ...{ version: row.version, at: row.at, by: name },
        record: openRecord(services, row.id, row.recordSealed),
      })),
      notes: notes.map(({ row, by: name }) => ({ at: row.at, by: name, note: openNote(services, row.id, row.noteSealed) })),
    };
  });
}
