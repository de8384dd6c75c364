import { type SQL, sql } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';

/** What stands where a name stood. */
export const ERASED = 'Erased';

/** The same within a mail, where it stands in sentences: "[name erased] signed you up". */
export const NAME_ERASED = '[name erased]';

/** How an address that was erased begins. No mail goes there: it has no @. */
const ERASED_ADDRESS = 'erased:';

/** What stands where an address stood, in a column whose values must differ. */
export function erasedAddress(row: SQLiteColumn) {
  return sql<string>`${ERASED_ADDRESS} || ${row}`;
}

/** Whether an address is still one. @param column "s.email" */
export function isAddress(column: SQL) {
  return sql`${column} NOT LIKE ${`${ERASED_ADDRESS}%`}`;
}
