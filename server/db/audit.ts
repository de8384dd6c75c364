import type { Tx } from './open.js';
import { auditLog } from './schema/index.js';

/** Writes down who did what to which thing, in the transaction that does it. Never sealed details. */
export function writeDown(tx: Tx, entry: typeof auditLog.$inferInsert): void {
  tx.insert(auditLog).values(entry).run();
}
