import { inArray, sql } from 'drizzle-orm';
import { listedIn } from '../contacts/reasons.js';
import type { Tx } from '../db/open.js';
import { auditLog } from '../db/schema/index.js';
import { nameKey } from '../waivers/rules.js';
import { ERASED } from './erased.js';

/**
 * What stays in `why` when someone whose emergency details were opened is erased: of words that were typed nothing, for they may say
 * what happened to whom. Null where it goes. Pure.
 * @param reason the listed reason that is kept apart; null in a row from before reasons and words were kept apart
 */
export function whyLeft({ reason, why }: { reason: string | null; why: string }): string | null {
  if (reason !== null) return null;
  return listedIn(why) ?? ERASED;
}

/** Takes out of the log what was typed when the emergency details of some people were opened: with those of others, or of everyone on their walk, too. */
export function blankOpenings(tx: Tx, members: { id: number; walkId: number }[]): void {
  const ids = JSON.stringify(members.map((member) => member.id));
  for (const walkId of new Set(members.map((member) => member.walkId))) {
    const rows = tx.all<{ id: number; reason: string | null; why: string }>(sql`
      SELECT id, json_extract(detail, '$.reason') AS reason, json_extract(detail, '$.why') AS why FROM audit_log
      WHERE subject = ${`walk:${walkId}`} AND json_type(detail, '$.why') = 'text' AND json_type(detail, '$.members') = 'array'
        AND (json_extract(detail, '$.everyone') IS NOT NULL
          OR EXISTS (SELECT 1 FROM json_each(detail, '$.members') AS m JOIN json_each(${ids}) AS gone ON gone.value = m.value))`);
    for (const row of rows) setDetail(tx, [row.id], 'why', whyLeft(row));
  }
}

/** Takes a leader's name out of the log of waivers signed on paper, where it says who saw them sign. */
export function blankSeenBy(tx: Tx, name: string): void {
  const rows = tx.all<{ id: number; seenBy: string }>(sql`
    SELECT id, json_extract(detail, '$.seenBy') AS seenBy FROM audit_log WHERE json_type(detail, '$.seenBy') = 'text'`);
  const theirs = rows.filter((row) => nameKey(row.seenBy) === nameKey(name));
  setDetail(
    tx,
    theirs.map((row) => row.id),
    'seenBy',
    ERASED,
  );
}

function setDetail(tx: Tx, ids: number[], key: 'why' | 'seenBy', text: string | null): void {
  if (ids.length === 0) return;
  const { detail } = auditLog;
  const path = `$.${key}`;
  const changed = text === null ? sql`json_remove(${detail}, ${path})` : sql`json_set(${detail}, ${path}, ${text})`;
  tx.update(auditLog).set({ detail: changed }).where(inArray(auditLog.id, ids)).run();
}
