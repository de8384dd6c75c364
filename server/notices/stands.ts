import { mailStands } from '../commitment/monthly-store.js';
import type { Tx } from '../db/open.js';
import type { OweContext } from './compose.js';
import type { NoticeContent, NoticeKind } from './content.js';

type Stands = (q: Tx, context: OweContext, content: NoticeContent) => boolean;

/** Kinds that are only to go while something is true: asked each time one is claimed, so that it goes to nobody for whom it is no longer so. */
const STANDS: Partial<Record<NoticeKind, Stands>> = {
  commitment: (q, context, content) => 'commitment' in content && mailStands(q, context, content.commitment),
};

/** Whether a claimed notice is still to go. @throws where its content is broken */
export function stillStands(q: Tx, context: OweContext, row: { kind: NoticeKind; content: string }): boolean {
  const stands = STANDS[row.kind];
  return stands === undefined || stands(q, context, JSON.parse(row.content) as NoticeContent);
}
