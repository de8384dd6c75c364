import { mailStands } from '../commitment/monthly-store.js';
import { notClosedStands } from '../day/not-closed-store.js';
import { thanksStand } from '../day/thanks-store.js';
import type { Tx } from '../db/open.js';
import { agreementStands } from '../joining/renewals.js';
import { askStands } from '../proposals/stands.js';
import { offerStands } from '../together/stands.js';
import { leadersOf } from '../walks/store.js';
import type { OweContext } from './compose.js';
import type { NoticeContent, NoticeKind } from './content.js';
import { isSame, leaderNews } from './leader-difference.js';

type Stands = (q: Tx, context: OweContext, content: NoticeContent) => boolean;

/**
 * Kinds that are only to go while something is true: asked each time one is claimed, and before one that failed is tried again, so that
 * it goes to nobody for whom it is no longer so.
 */
const STANDS: Partial<Record<NoticeKind, Stands>> = {
  commitment: (q, context, content) => 'commitment' in content && mailStands(q, context, content.commitment),
  offer: (q, { now }, content) => 'together' in content && offerStands(q, content.together, now),
  ask: (q, context, content) => 'ask' in content && askStands(q, context, content.ask),
  'agreement-due': (q, { now }, content) => 'joining' in content && agreementStands(q, content.joining, now),
  thanks: (q, _, content) => 'thanks' in content && thanksStand(q, content.thanks),
  'not-closed': (q, _, content) => 'notClosed' in content && notClosedStands(q, content.notClosed),
  'new-leader': stillLeads,
  'member-news': (q, context, content) => leaderNews(content) === undefined || stillLeads(q, context, content),
};

/** Whether a notice is still to go. @param row its content as it is read, or as it is kept @throws where its content is broken */
export function stillStands(q: Tx, context: OweContext, row: { kind: NoticeKind; content: string | NoticeContent }): boolean {
  const stands = STANDS[row.kind];
  if (stands === undefined) return true;
  return stands(q, context, typeof row.content === 'string' ? (JSON.parse(row.content) as NoticeContent) : row.content);
}

function stillLeads(q: Tx, _context: OweContext, content: NoticeContent): boolean {
  if (!('walk' in content)) return false;
  const [leader] = leadersOf(q, content.walk.walkId);
  return leader !== undefined && isSame(content.walk.leader, { id: leader.personId, name: leader.name });
}
