import { and, desc, eq, sql } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { auditLog, waivers } from '../db/schema/index.js';
import type { Services } from '../services.js';
import { seasonBegan } from '../settings/season.js';
import { type GroupText, textInForce } from '../texts/store.js';
import { type BadLine, type List, type Listed, personKey } from './list.js';
import { inForce, keepWaiver, type Moment } from './store.js';
import { FILE_INTENT } from './words.js';

const ACTION = 'brought in a list of waivers';
/** How many of the lines left out the log names; the dry run names them all. */
const MOST_LEFT = 100;

/** The lines of a list whose person has no waiver in force yet. Three queries, however long the list. */
export function newOnes(q: Tx, moment: Moment, good: Listed[]): Listed[] {
  const emails = good.map((one) => one.email);
  const isSigned = inForce(q, moment, emails);
  const isOnFile = onFile(q, textInForce(q, 'waiver'), emails);
  return good.filter((one) => !isOnFile(one) && !isSigned({ email: one.email, forName: one.name, signedAs: 'self', signerName: one.name }));
}

/** What the same list brought in before: it would not be in force where the season has ended since, and yet it is there. */
function onFile(q: Tx, text: GroupText, emails: string[]): (one: Listed) => boolean {
  const rows = q
    .select({ email: waivers.email, forName: waivers.forName, signedAt: waivers.signedAt })
    .from(waivers)
    .where(
      and(
        sql`${waivers.email} IN (SELECT value FROM json_each(${JSON.stringify([...new Set(emails)])}))`,
        eq(waivers.textId, text.id),
        eq(waivers.how, 'file'),
      ),
    )
    .all();
  const kept = new Set(rows.map((row) => `${row.signedAt} ${personKey({ name: row.forName, email: row.email })}`));
  return (one) => kept.has(`${Date.parse(one.signed)} ${personKey(one)}`);
}

/** Keeps a signature for each good line that is new, all of them or none; the same list a second time adds nothing. */
export function bringIn(services: Services, list: List, by: { id: number; name: string }): { added: number; known: number } {
  const { db, sealer, settings, now } = services;
  return db.write((tx) => {
    const text = textInForce(tx, 'waiver');
    const fresh = newOnes(tx, { now: now(), settings: settings() }, list.good);
    for (const one of fresh) keepWaiver(tx, sealer, { ...signed(one), text, seenBy: by.name }, now());
    const counts = { added: fresh.length, known: list.good.length - fresh.length };
    const left = list.bad.slice(0, MOST_LEFT).map(({ line, sentence }) => ({ line, sentence }));
    writeDown(tx, { at: now(), personId: by.id, action: ACTION, subject: 'waivers', detail: { ...counts, bad: list.bad.length, left } });
    return counts;
  });
}

function signed({ name, email, signed: date }: Listed) {
  const person = { email, forName: name, signedAs: 'self', signerName: name, signature: name } as const;
  const kind = { how: 'file', intent: FILE_INTENT, consent: '', proof: 'none', signUpId: null, memberId: null } as const;
  return { ...person, ...kind, signedAt: Date.parse(date) };
}

/** The lines that the list someone brought in last left out, for the page that follows it. */
export function lastLeft(q: Tx, personId: number): Pick<BadLine, 'line' | 'sentence'>[] {
  const row = q
    .select({ detail: auditLog.detail })
    .from(auditLog)
    .where(and(eq(auditLog.personId, personId), eq(auditLog.action, ACTION)))
    .orderBy(desc(auditLog.at), desc(auditLog.id))
    .limit(1)
    .get();
  return (row?.detail.left as Pick<BadLine, 'line' | 'sentence'>[] | undefined) ?? [];
}

/** How many people's signatures are in force now, by how they were given. */
export function countInForce(q: Tx, moment: Moment): Record<'page' | 'paper' | 'file', number> {
  const since = seasonBegan(moment.settings, moment.now) ?? Number.MIN_SAFE_INTEGER;
  const rows = q
    .select({
      how: waivers.how,
      people: sql<number>`count(DISTINCT json_array(${waivers.email}, ${waivers.forKey}, ${waivers.signedAs}, ${waivers.signerKey}))`,
    })
    .from(waivers)
    .where(and(sql`${waivers.email} <> ''`, eq(waivers.textId, textInForce(q, 'waiver').id), sql`${waivers.signedAt} >= ${since}`))
    .groupBy(waivers.how)
    .all();
  return { page: 0, paper: 0, file: 0, ...Object.fromEntries(rows.map((row) => [row.how, row.people])) };
}
