import { desc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaders, leaderTerms } from '../db/schema/index.js';
import { monthWords } from '../web/when.js';

/** What someone who was stood down is told where leaders are welcome; empty for whoever leads or never did. One query. */
export function formerLeaderWords(q: Tx, personId: number, locale: string): string {
  const last = q
    .select({ standing: leaders.state, until: leaderTerms.untilMonth })
    .from(leaders)
    .leftJoin(leaderTerms, eq(leaderTerms.personId, leaders.personId))
    .where(eq(leaders.personId, personId))
    .orderBy(desc(leaderTerms.fromMonth))
    .limit(1)
    .get();
  if (last?.standing !== 'stood_down') return '';
  const led = last.until === null ? 'You led walks before' : `You led walks until ${monthWords(last.until, locale)}`;
  return `${led}; to lead again, speak to a coordinator or apply.`;
}
