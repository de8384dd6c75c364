import { and, eq, sql } from 'drizzle-orm';
import { walks } from '../db/schema/index.js';

/** A walk that is posted. It says the same again in the words of the index on coming walks, or SQLite would not take that one. */
export const IS_POSTED = and(eq(walks.state, 'posted'), sql`${walks.state} IN ('posted', 'cancelled')`);
