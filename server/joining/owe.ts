import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import type { NoticeKind } from '../notices/content.js';
import { DAY_MS } from '../notices/due.js';
import { insertNotice } from '../notices/owed.js';
import type { Letter } from './letters.js';
import { coordinators } from './store.js';

/** Mail about joining is tried for this long: it is about no walk. */
const TRIED_MS = 3 * DAY_MS;

interface Owed {
  kind: NoticeKind;
  event: string;
  letter: Letter;
  to: { name: string; email: string };
}

/** Owes one mail about joining, once an event. */
export function oweLetter(tx: Tx, context: OweContext, { kind, event, letter, to }: Owed): void {
  insertNotice(tx, context, { event, kind, to, content: { joining: letter }, giveUpAt: context.now + TRIED_MS });
}

/** Owes every coordinator the same mail. */
export function oweCoordinators(tx: Tx, context: OweContext, owed: Omit<Owed, 'to'>): void {
  for (const { id, name, email } of coordinators(tx))
    oweLetter(tx, context, { ...owed, event: `${owed.event}:${id}`, to: { name, email } });
}
