import { and, asc, desc, eq, gte, inArray } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { auditLog, commitmentMails, excusedMonths, people, pledges } from '../db/schema/index.js';
import type { Pledge } from './rules.js';

/** Who changes it, and when, ms. */
export interface By {
  by: number;
  now: number;
}

const PLEDGE_CHANGED = 'changed a pledge';
const EXCUSED = 'excused a month';
const TAKEN_BACK = 'took back an excused month';
const MAILS = 'turned the monthly mail on or off';
const CHANGES = [PLEDGE_CHANGED, EXCUSED, TAKEN_BACK, 'approved a leader', 'stood a leader down', MAILS];

/** So many walks from a month on: what was promised for that month and later gives way, what stands before it stays. The log keeps both. */
export function changePledge(tx: Tx, personId: number, pledge: Pledge, { by, now }: By): void {
  const later = and(eq(pledges.personId, personId), gte(pledges.fromMonth, pledge.fromMonth));
  const before = tx
    .select({ fromMonth: pledges.fromMonth, walks: pledges.walks })
    .from(pledges)
    .where(later)
    .orderBy(asc(pledges.fromMonth))
    .all();
  if (before.length === 1 && before[0]?.fromMonth === pledge.fromMonth && before[0].walks === pledge.walks) return;
  tx.delete(pledges).where(later).run();
  tx.insert(pledges)
    .values({ personId, ...pledge })
    .run();
  writeDown(tx, { at: now, personId: by, action: PLEDGE_CHANGED, subject: `person:${personId}`, detail: { ...pledge, before } });
}

/** Excuses a month; said again, the reason is the new one. The reason stands in the table alone, so that it goes when the person is erased. */
export function excuse(tx: Tx, personId: number, { month, reason }: { month: string; reason: string }, { by, now }: By): void {
  const one = and(eq(excusedMonths.personId, personId), eq(excusedMonths.month, month));
  if (tx.select().from(excusedMonths).where(one).get()?.reason === reason) return;
  tx.insert(excusedMonths)
    .values({ personId, month, reason, byPersonId: by, at: now })
    .onConflictDoUpdate({ target: [excusedMonths.personId, excusedMonths.month], set: { reason, byPersonId: by, at: now } })
    .run();
  writeDown(tx, { at: now, personId: by, action: EXCUSED, subject: `person:${personId}`, detail: { month } });
}

/** Takes an excused month back; of a month that is not excused there is nothing to take. */
export function takeBackExcuse(tx: Tx, personId: number, month: string, { by, now }: By): void {
  const { changes } = tx
    .delete(excusedMonths)
    .where(and(eq(excusedMonths.personId, personId), eq(excusedMonths.month, month)))
    .run();
  if (changes > 0) writeDown(tx, { at: now, personId: by, action: TAKEN_BACK, subject: `person:${personId}`, detail: { month } });
}

/** Whether a leader wants the monthly mail. */
export function wantsMails(q: Tx, personId: number): boolean {
  return (
    q.select({ wanted: commitmentMails.wanted }).from(commitmentMails).where(eq(commitmentMails.personId, personId)).get()?.wanted ?? true
  );
}

/** Turns a leader's monthly mail on or off. @param by whoever does it; null by the address in the mail */
export function setMails(tx: Tx, personId: number, wanted: boolean, { by, now }: { by: number | null; now: number }): void {
  if (wantsMails(tx, personId) === wanted) return;
  tx.insert(commitmentMails).values({ personId, wanted }).onConflictDoUpdate({ target: commitmentMails.personId, set: { wanted } }).run();
  writeDown(tx, { at: now, personId: by, action: MAILS, subject: `person:${personId}`, detail: { wanted } });
}

/** A leader's excused months with reasons, who excused them and when; the latest month first. */
export function excusesOf(q: Tx, personId: number) {
  return q
    .select({ month: excusedMonths.month, reason: excusedMonths.reason, at: excusedMonths.at, by: people.name })
    .from(excusedMonths)
    .leftJoin(people, eq(people.id, excusedMonths.byPersonId))
    .where(eq(excusedMonths.personId, personId))
    .orderBy(desc(excusedMonths.month))
    .all();
}

const MOST_CHANGES = 40;

/** What was changed of a leader's commitment, by whom and when; the latest first. */
export function changesOf(q: Tx, personId: number) {
  return q
    .select({ at: auditLog.at, action: auditLog.action, detail: auditLog.detail, by: people.name })
    .from(auditLog)
    .leftJoin(people, eq(people.id, auditLog.personId))
    .where(and(eq(auditLog.subject, `person:${personId}`), inArray(auditLog.action, CHANGES)))
    .orderBy(desc(auditLog.at), desc(auditLog.id))
    .limit(MOST_CHANGES)
    .all();
}
