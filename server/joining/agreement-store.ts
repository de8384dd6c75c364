import { and, asc, desc, eq, inArray, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaders, texts, waivers } from '../db/schema/index.js';
import type { Services } from '../services.js';
import type { GroupText } from '../texts/store.js';
import { keepWaiver, type Trace } from '../waivers/store.js';
import { type Agreement, nextDue } from './renewal.js';
import { AGREEMENT_CONSENT, AGREEMENT_INTENT } from './words.js';

/** A signature of the leader's agreement: when, ms, of which version, and in whose name. */
export interface LastAgreement {
  id: number;
  signedAt: number;
  version: number;
  signerName: string;
}

const LAST = { id: waivers.id, signedAt: waivers.signedAt, version: texts.version, signerName: waivers.signerName };

/** The latest leader's agreement signed with an address; undefined where none was. */
export function lastAgreement(q: Tx, email: string): LastAgreement | undefined {
  return q
    .select(LAST)
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .where(and(eq(waivers.email, email), sql`${waivers.signedAs} = 'leader'`))
    .orderBy(desc(waivers.signedAt), desc(waivers.id))
    .limit(1)
    .get();
}

/** When each person who ever led signed the leader's agreement last, ms, by their number. One query. */
export function lastSigned(q: Tx): Map<number, number> {
  const rows = q.all<{ personId: number; at: number }>(sql`
    SELECT l.person_id AS personId, max(w.signed_at) AS at FROM leaders l JOIN people p ON p.id = l.person_id
    JOIN waivers w ON w.email = p.email AND w.signed_as = 'leader' GROUP BY l.person_id`);
  return new Map(rows.map(({ personId, at }) => [personId, at]));
}

/** The latest of each of several addresses, in one query; an address that signed none is not among them. */
export function lastAgreements(q: Tx, emails: string[]): Map<string, LastAgreement> {
  const rows = q
    .select({ email: waivers.email, ...LAST })
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .where(and(inArray(waivers.email, emails), sql`${waivers.signedAs} = 'leader'`))
    .orderBy(asc(waivers.signedAt), asc(waivers.id))
    .all();
  return new Map(rows.map(({ email, ...last }) => [email, last]));
}

/** When a leader's agreement is due, ms, and when they signed last; undefined for someone who does not lead. */
export function agreementOf(q: Tx, person: { id: number; email: string }): Agreement | undefined {
  const row = q
    .select({ dueAt: leaders.agreementDueAt })
    .from(leaders)
    .where(and(eq(leaders.personId, person.id), eq(leaders.state, 'approved')))
    .get();
  return row && { dueAt: row.dueAt, signedAt: lastAgreement(q, person.email)?.signedAt ?? null };
}

/** Whose signature, in what name, of which text. */
export interface Signature {
  person: { id: number; email: string };
  name: string;
  signature: string;
  text: GroupText;
  trace: Trace;
}

/** Keeps a signature of the leader's agreement as the next link of the chain, and moves the day it is due; gives its number. */
export function keepAgreement(tx: Tx, services: Services, { person, name, signature, text, trace }: Signature): number {
  const now = services.now();
  const before = agreementOf(tx, person);
  const id = keepWaiver(
    tx,
    services.sealer,
    {
      how: 'page',
      text,
      signUpId: null,
      memberId: null,
      email: person.email,
      forName: name,
      signedAs: 'leader',
      signerName: name,
      signature,
      intent: AGREEMENT_INTENT,
      consent: AGREEMENT_CONSENT,
      proof: 'signed in',
      seenBy: '',
      signedAt: now,
    },
    now,
    trace,
  );
  if (before)
    tx.update(leaders)
      .set({ agreementDueAt: nextDue(before, now, services.settings().agreementMonths) })
      .where(eq(leaders.personId, person.id))
      .run();
  return id;
}
