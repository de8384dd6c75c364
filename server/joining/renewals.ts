import { and, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices } from '../db/schema/index.js';
import type { OweContext } from '../notices/compose.js';
import { when } from '../web/when.js';
import { dueLetter } from './letters.js';
import { oweLetter } from './owe.js';
import { MAILED_BEFORE_MS, MAILED_UNTIL_MS } from './renewal.js';

interface Due {
  personId: number;
  name: string;
  email: string;
  dueAt: number;
  zone: string;
}

/** The event of a mail about an agreement: of one due at this instant (ms) there is one mail beforehand and one on the day. */
function dueEvent(personId: number, dueAt: number, which: 'before' | 'now'): string {
  return `agreement-due:${personId}:${dueAt}:${which}`;
}

/**
 * Owes leaders the mail that their agreement is due within 30 days, and the one that it is due now; each once, however often it is called
 * and whatever stopped in between. Gives how many.
 */
export function oweRenewals(tx: Tx, context: OweContext): number {
  const due = agreementsDue(tx, context.now);
  for (const one of due) {
    const { personId, dueAt } = one;
    const isDue = dueAt <= context.now;
    // What was to be said beforehand, and has not gone yet, is overtaken.
    if (isDue) dropDue(tx, personId);
    oweLetter(tx, context, {
      kind: 'agreement-due',
      event: dueEvent(personId, dueAt, isDue ? 'now' : 'before'),
      letter: dueLetter(personId, isDue ? null : when(dueAt, one.zone, context.settings).fullDate),
      to: one,
    });
  }
  return due.length;
}

/** Approved leaders who are owed one of the two mails and have not been owed it yet. */
export function agreementsDue(tx: Tx, now: number): Due[] {
  return tx.all<Due>(sql`
    SELECT l.person_id AS personId, p.name, p.email, l.agreement_due_at AS dueAt, a.zone
    FROM leaders l JOIN people p ON p.id = l.person_id JOIN areas a ON a.id = l.area_id
    WHERE l.state = 'approved' AND l.agreement_due_at > ${now - MAILED_UNTIL_MS} AND l.agreement_due_at <= ${now + MAILED_BEFORE_MS}
      AND NOT EXISTS (SELECT 1 FROM notices n WHERE n.event = 'agreement-due:' || l.person_id || ':' || l.agreement_due_at
        || CASE WHEN l.agreement_due_at <= ${now} THEN ':now' ELSE ':before' END)`);
}

/** Takes back what still waits to tell a leader that their agreement is due: they have signed, or lead no more. */
export function dropDue(tx: Tx, personId: number): void {
  // Everything that begins with the person's own prefix: ';' follows ':'.
  const theirs = sql`${notices.event} >= ${`agreement-due:${personId}:`} AND ${notices.event} < ${`agreement-due:${personId};`}`;
  tx.delete(notices)
    .where(and(theirs, eq(notices.state, 'pending')))
    .run();
}
