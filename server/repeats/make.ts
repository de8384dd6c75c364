import { mayPost } from '../joining/posting.js';
import type { Services } from '../services.js';
import { makeWalk } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import { type Asked, allThere, type DateRow, dateRows, rowsMark } from './rows.js';
import { seriesFor } from './store.js';

export interface Making {
  walkId: number;
  asked: Asked;
  /** The dates ticked. */
  chosen: string[];
  as: 'draft' | 'posted';
  /** The mark of what the leader saw (rowsMark). */
  seen: string;
}

/**
 * Makes the walks of a series, all or none, in one transaction with one look at what stands in the way: 'new' where that is not what the
 * leader saw, and nothing is made. What was made already, by the same form sent twice, is not made again.
 */
export function makeSeries(services: Services, making: Making): 'made' | 'new' {
  return services.db.write((tx) => {
    const walk = walkById(tx, making.walkId);
    if (!walk) return 'new';
    const { asked, chosen, as } = making;
    if (as === 'posted' && !mayPost(tx, asked.leaderId, services.now())) return 'new';
    const rows = dateRows(services, walk, asked);
    if (allThere(rows, chosen)) return 'made';
    const ready = rows.filter((row) => chosen.includes(row.date) && mayBe(row, as));
    if (rowsMark(walk, rows) !== making.seen || ready.length < chosen.length) return 'new';
    const seriesId = seriesFor(tx, walk, asked.leaderId, services.now());
    for (const { facts } of ready) if (facts) makeWalk(tx, services, facts, { leaderId: asked.leaderId, state: as, seriesId });
    return 'made';
  });
}

/** Whether a date can be made: what needs mending, or a reason, first can be a draft. */
export function mayBe(row: DateRow, as: 'draft' | 'posted'): boolean {
  return row.facts !== null && row.blocked === '' && (as === 'draft' || row.open.length === 0);
}
