import { eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { applications, leaderAreas, leaders, notices } from '../db/schema/index.js';

/** Erases what someone applied with and said of themself as a leader: applications with the mail about them, days, lengths, areas, certificate. */
export function eraseJoining(tx: Tx, personId: number): void {
  tx.delete(applications).where(eq(applications.personId, personId)).run();
  tx.delete(leaderAreas).where(eq(leaderAreas.personId, personId)).run();
  tx.update(leaders)
    .set({ days: [], longestMetres: null, shortestMetres: null, firstAidUntil: null, offersFirst: false })
    .where(eq(leaders.personId, personId))
    .run();
  // Mail to coordinators: nothing of it is left once the name and the words are gone.
  tx.delete(notices).where(sql`json_extract(${notices.content}, '$.joining.about') = ${personId}`).run();
  tx.run(sql`UPDATE audit_log SET detail = json_remove(detail, '$.reason')
    WHERE subject = ${`person:${personId}`} AND action = ${APPROVED_ALTHOUGH}`);
}

/** What the log says of an approval that came before all steps were done. */
export const APPROVED_ALTHOUGH = 'approved a leader although steps were missing';

/** Forgets applications that did not lead to leading, decided or withdrawn by then (ms); gives how many. */
export function forgetApplications(tx: Tx, due: number, most: number): number {
  return tx.run(sql`DELETE FROM applications WHERE id IN (
    SELECT id FROM applications WHERE state IN ('declined', 'withdrawn') AND decided_at <= ${due} LIMIT ${most})`).changes;
}
