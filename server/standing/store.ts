import { and, asc, count, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { standingNotes } from '../db/schema/index.js';
import type { StandingNote } from './rules.js';

/** No leader keeps more notes: the walk form shows a tick for each. */
export const MOST_NOTES = 40;

const NOTE = { id: standingNotes.id, title: standingNotes.title, body: standingNotes.body, goesInto: standingNotes.goesInto };

/** A leader's notes, by title. */
export function notesOf(q: Tx, personId: number): StandingNote[] {
  return q
    .select(NOTE)
    .from(standingNotes)
    .where(eq(standingNotes.personId, personId))
    .orderBy(asc(standingNotes.title), asc(standingNotes.id))
    .all();
}

/** The same, with when each was first kept (ms): for the leader's export. */
export function notesKept(q: Tx, personId: number): (StandingNote & { createdAt: number })[] {
  return q
    .select({ ...NOTE, createdAt: standingNotes.createdAt })
    .from(standingNotes)
    .where(eq(standingNotes.personId, personId))
    .orderBy(asc(standingNotes.title), asc(standingNotes.id))
    .all();
}

/** One of a leader's own notes. */
export function noteOf(q: Tx, personId: number, id: number): StandingNote | undefined {
  return Number.isSafeInteger(id) ? q.select(NOTE).from(standingNotes).where(own(personId, id)).get() : undefined;
}

/** Keeps a new note, and gives its number; null where there are as many as a leader may keep. The same note sent twice is kept once. */
export function addNote(tx: Tx, personId: number, note: Omit<StandingNote, 'id'>, now: number): number | null {
  const { title, body, goesInto } = note;
  const same = and(
    eq(standingNotes.personId, personId),
    eq(standingNotes.title, title),
    eq(standingNotes.body, body),
    eq(standingNotes.goesInto, goesInto),
  );
  const known = tx.select({ id: standingNotes.id }).from(standingNotes).where(same).get();
  if (known) return known.id;
  const kept = tx.select({ all: count() }).from(standingNotes).where(eq(standingNotes.personId, personId)).get()?.all ?? 0;
  if (kept >= MOST_NOTES) return null;
  const row = { personId, ...note, createdAt: now };
  return tx.insert(standingNotes).values(row).returning({ id: standingNotes.id }).get().id;
}

/** Walks that have the note's text keep it as it was. */
export function changeNote(tx: Tx, personId: number, id: number, note: Omit<StandingNote, 'id'>): void {
  tx.update(standingNotes).set(note).where(own(personId, id)).run();
}

export function deleteNote(tx: Tx, personId: number, id: number): void {
  tx.delete(standingNotes).where(own(personId, id)).run();
}

/** Takes every note of someone away. */
export function deleteNotes(tx: Tx, personId: number): void {
  tx.delete(standingNotes).where(eq(standingNotes.personId, personId)).run();
}

function own(personId: number, id: number) {
  return and(eq(standingNotes.id, id), eq(standingNotes.personId, personId));
}
