import { and, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaders, notices } from '../db/schema/index.js';
import type { OweContext } from '../notices/compose.js';
import type { JoiningContent } from '../notices/content.js';
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
  /** 1: they have never signed one. */
  isNew: 0 | 1;
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
      letter: dueLetter(personId, {
        at: dueAt,
        by: isDue ? null : when(dueAt, one.zone, context.settings).fullDate,
        isNew: one.isNew === 1,
        months: context.settings.agreementMonths,
      }),
      to: one,
    });
  }
  return due.length;
}

/** Approved leaders who are owed one of the two mails and have not been owed it yet. */
export function agreementsDue(tx: Tx, now: number): Due[] {
  return tx.all<Due>(sql`
    SELECT l.person_id AS personId, p.name, p.email, l.agreement_due_at AS dueAt, a.zone,
      NOT EXISTS (SELECT 1 FROM waivers v WHERE v.email = p.email AND v.signed_as = 'leader') AS isNew
    FROM leaders l JOIN people p ON p.id = l.person_id JOIN areas a ON a.id = l.area_id
    WHERE l.state = 'approved' AND l.agreement_due_at > ${now - MAILED_UNTIL_MS} AND l.agreement_due_at <= ${now + MAILED_BEFORE_MS}
      AND NOT EXISTS (SELECT 1 FROM notices n WHERE n.event = 'agreement-due:' || l.person_id || ':' || l.agreement_due_at
        || CASE WHEN l.agreement_due_at <= ${now} THEN ':now' ELSE ':before' END)`);
}

/** Whether a mail that an agreement is due still says what is so: it is due at that instant, and to come or not as was said. @param now ms */
export function agreementStands(q: Tx, { about, due }: Pick<JoiningContent, 'about' | 'due'>, now: number): boolean {
  const row = q
    .select({ dueAt: leaders.agreementDueAt })
    .from(leaders)
    .where(and(eq(leaders.personId, about), eq(leaders.state, 'approved')))
    .get();
  if (!row) return false;
  // Mail older than the field: a signature moves the day on by months.
  if (!due) return row.dueAt <= now + MAILED_BEFORE_MS;
  return row.dueAt === due.at && due.toCome === due.at > now;
}

/** Takes back what still waits to tell a leader that their agreement is due: they have signed, or lead no more. */
export function dropDue(tx: Tx, personId: number): void {
  // Everything that begins with the person's own prefix: ';' follows ':'.
  const theirs = sql`${notices.event} >= ${`agreement-due:${personId}:`} AND ${notices.event} < ${`agreement-due:${personId};`}`;
  tx.delete(notices)
    .where(and(theirs, eq(notices.state, 'pending')))
    .run();
}
