import { and, eq, inArray, or, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, walkOffers } from '../db/schema/index.js';
import type { Named, TogetherContent } from '../together/content.js';
import { ERASED, NAME_ERASED } from './erased.js';

/** Empties what leaders asked each other where somebody who is erased asked or was asked, closes what is open of it, and takes their name out of the mail about it. */
export function blankOffers(tx: Tx, personId: number, now: number): void {
  const theirs = or(eq(walkOffers.toPersonId, personId), eq(walkOffers.byPersonId, personId));
  tx.update(walkOffers)
    .set({ state: 'closed', endedAt: now })
    .where(and(theirs, sql`${walkOffers.state} = 'open'`))
    .run();
  tx.update(walkOffers)
    .set({ note: '', words: '', tokenHash: sql`${`${ERASED}:`} || ${walkOffers.id}` })
    .where(theirs)
    .run();
  blankMail(tx, personId);
}

const BETWEEN_LEADERS = ['offer', 'offer-answer', 'leading'] as const;

/** Mail to others about somebody; that to themself is gone already. Reads the whole table: erasing is rare. */
function blankMail(tx: Tx, personId: number): void {
  const rows = tx
    .select({ id: notices.id, content: notices.content })
    .from(notices)
    .where(inArray(notices.kind, [...BETWEEN_LEADERS]))
    .all();
  for (const { id, content } of rows) {
    if (!('together' in content) || !isAbout(content.together, personId)) continue;
    tx.update(notices)
      .set({ content: { together: without(content.together, personId) } })
      .where(eq(notices.id, id))
      .run();
  }
}

function isAbout({ by, to }: TogetherContent, personId: number): boolean {
  return by.personId === personId || to.personId === personId;
}

function without(content: TogetherContent, personId: number): TogetherContent {
  const blank = (one: Named): Named => (one.personId === personId ? { ...one, name: NAME_ERASED } : one);
  return { ...content, by: blank(content.by), to: blank(content.to), note: '' };
}
