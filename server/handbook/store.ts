import { eq, inArray } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { handbookReads } from '../db/schema/index.js';
import { HANDBOOK } from './pages.js';

/** The pages someone has marked as read: when, ms, by the name in their address. One that the handbook no longer has is among them. */
export function readPages(q: Tx, personId: number): Map<string, number> {
  const rows = q
    .select({ page: handbookReads.page, at: handbookReads.at })
    .from(handbookReads)
    .where(eq(handbookReads.personId, personId))
    .all();
  return new Map(rows.map(({ page, at }) => [page, at]));
}

/** How far someone is with the handbook: pages read, of how many, and the name of the first that they have not read. */
export interface HandbookProgress {
  read: number;
  of: number;
  next: string | null;
}

export function handbookProgress(q: Tx, personId: number): HandbookProgress {
  return progressWith(readPages(q, personId));
}

/** The same of several people, by their numbers, in one query. */
export function handbookProgressOf(q: Tx, personIds: number[]): Map<number, HandbookProgress> {
  const rows = q
    .select({ personId: handbookReads.personId, page: handbookReads.page })
    .from(handbookReads)
    .where(inArray(handbookReads.personId, personIds))
    .all();
  const read = new Map(personIds.map((id) => [id, new Set<string>()]));
  for (const { personId, page } of rows) read.get(personId)?.add(page);
  return new Map([...read].map(([id, pages]) => [id, progressWith(pages)]));
}

function progressWith(read: { has: (page: string) => boolean }): HandbookProgress {
  const unread = HANDBOOK.filter((page) => !read.has(page.slug));
  return { read: HANDBOOK.length - unread.length, of: HANDBOOK.length, next: unread[0]?.slug ?? null };
}

/** Keeps that someone read a page. Marked again, it keeps the instant of the first time. */
export function markRead(tx: Tx, personId: number, page: string, now: number): void {
  tx.insert(handbookReads).values({ personId, page, at: now }).onConflictDoNothing().run();
}
