import { and, asc, desc, eq, gt, or, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { auditLog, keptContacts, messages, notices, routes, sessions, texts, waivers, waiverTraces, walks } from '../db/schema/index.js';

/** The browsers a person is signed in with, the latest first. */
export function ownSessions(q: Tx, personId: number, now: number) {
  return q
    .select({ createdAt: sessions.createdAt, seenAt: sessions.seenAt, expiresAt: sessions.expiresAt })
    .from(sessions)
    .where(and(eq(sessions.personId, personId), gt(sessions.expiresAt, now)))
    .orderBy(desc(sessions.seenAt))
    .all();
}

/** What was signed with an address, the latest first. */
export function ownWaivers(q: Tx, email: string) {
  return q
    .select({
      id: waivers.id,
      how: waivers.how,
      forName: waivers.forName,
      signedAs: waivers.signedAs,
      signerName: waivers.signerName,
      signature: waivers.signature,
      intent: waivers.intent,
      consent: waivers.consent,
      proof: waivers.proof,
      seenBy: waivers.seenBy,
      signedAt: waivers.signedAt,
      keptAt: waivers.keptAt,
      signUpId: waivers.signUpId,
      textVersion: texts.version,
      textSha256: waivers.textSha256,
      documentSha256: waivers.documentSha256,
      signedFrom: waiverTraces.address,
      signedWith: waiverTraces.agent,
    })
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .leftJoin(waiverTraces, eq(waiverTraces.waiverId, waivers.id))
    .where(eq(waivers.email, email))
    .orderBy(desc(waivers.signedAt), desc(waivers.id))
    .all();
}

/** A waiver, as long as it was signed with this address; with the text it is of. */
export function ownWaiver(q: Tx, email: string, id: number) {
  return q
    .select({ waiver: waivers, version: texts.version, body: texts.body })
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .where(and(eq(waivers.id, id), eq(waivers.email, email)))
    .get();
}

/** Mail to an address, the latest first, with how many there are in all. */
export function ownMail(q: Tx, email: string, most: number) {
  return q
    .select({
      id: notices.id,
      kind: notices.kind,
      state: notices.state,
      toName: notices.toName,
      createdAt: notices.createdAt,
      at: sql<number>`coalesce(${notices.endedAt}, ${notices.dueAt})`,
      attempts: notices.attempts,
      lastError: notices.lastError,
      walkId: notices.walkId,
      routeName: walks.routeName,
      all: sql<number>`count(*) OVER ()`,
    })
    .from(notices)
    .leftJoin(walks, eq(walks.id, notices.walkId))
    .where(eq(notices.toEmail, email))
    .orderBy(desc(notices.id))
    .limit(most)
    .all();
}

/** What a person wrote to everyone on walks, the latest first. */
export function ownMessages(q: Tx, personId: number) {
  return q.select().from(messages).where(eq(messages.byPersonId, personId)).orderBy(desc(messages.at)).all();
}

/** Emergency contacts kept for a person's next sign-up, unopened. */
export function ownKeptContacts(q: Tx, personId: number) {
  return q
    .select({ id: keptContacts.id, forName: keptContacts.forName, keptAt: keptContacts.keptAt, expiresAt: keptContacts.expiresAt })
    .from(keptContacts)
    .where(eq(keptContacts.personId, personId))
    .orderBy(asc(keptContacts.id))
    .all();
}

/** What a person did that is written down, and what others did to their standing; the latest first. */
export function ownAudit(q: Tx, personId: number, most: number) {
  return q
    .select({ at: auditLog.at, personId: auditLog.personId, action: auditLog.action, subject: auditLog.subject, detail: auditLog.detail })
    .from(auditLog)
    .where(or(eq(auditLog.personId, personId), eq(auditLog.subject, `person:${personId}`)))
    .orderBy(desc(auditLog.at), desc(auditLog.id))
    .limit(most)
    .all();
}

export function ownRoutes(q: Tx, personId: number) {
  return q
    .select({ id: routes.id, createdAt: routes.createdAt, lengthMetres: routes.lengthMetres, shape: routes.shape })
    .from(routes)
    .where(eq(routes.byPersonId, personId))
    .orderBy(desc(routes.id))
    .all();
}

/** What is kept of a leader; null for someone who never was one. */
export interface LeaderRecord {
  area: string;
  state: 'approved' | 'stood_down';
  sinceMonth: string;
  createdAt: number;
  /** When their calendar address was made, ms; null where they have none. */
  calendarMade: number | null;
  pledges: { fromMonth: string; walks: number }[];
  excusedMonths: { month: string; reason: string; by: 'you' | 'someone else' | null; at: number | null }[];
  terms: { fromMonth: string; untilMonth: string | null; approved: number }[];
  monthlyMail: 'wanted' | 'off';
  /** The last month for which it was decided whether a mail is due. */
  monthlyMailDecided: string | null;
  /** ms */
  agreementDueAt: number;
  /** 1 is Monday. */
  days: number[];
  longestMetres: number | null;
  shortestMetres: number | null;
  firstAidUntil: string | null;
  offersFirst: boolean;
  otherAreas: string[];
}

type JsonOfLeader = 'pledges' | 'excusedMonths' | 'terms' | 'days' | 'otherAreas';

export function leaderRecord(q: Tx, personId: number): LeaderRecord | null {
  const row = q.get<
    (Omit<LeaderRecord, JsonOfLeader | 'offersFirst'> & Record<JsonOfLeader, string> & { offersFirst: number }) | undefined
  >(sql`
    SELECT a.name AS area, l.state, l.since_month AS sinceMonth, l.created_at AS createdAt, l.agreement_due_at AS agreementDueAt, l.days,
      l.longest_metres AS longestMetres, l.shortest_metres AS shortestMetres, l.first_aid_until AS firstAidUntil, l.offers_first AS offersFirst,
      (SELECT f.made_at FROM calendar_feeds f WHERE f.person_id = l.person_id) AS calendarMade,
      (SELECT json_group_array(b.name) FROM leader_areas o JOIN areas b ON b.id = o.area_id WHERE o.person_id = l.person_id) AS otherAreas,
      (SELECT json_group_array(json_object('fromMonth', p.from_month, 'walks', p.walks)) FROM pledges p WHERE p.person_id = l.person_id) AS pledges,
      (SELECT json_group_array(json_object('month', e.month, 'reason', e.reason, 'at', e.at,
        'by', CASE WHEN e.by_person_id = l.person_id THEN 'you' WHEN e.by_person_id IS NOT NULL THEN 'someone else' END))
        FROM excused_months e WHERE e.person_id = l.person_id) AS excusedMonths,
      (SELECT json_group_array(json_object('fromMonth', t.from_month, 'untilMonth', t.until_month, 'approved', t.at))
        FROM leader_terms t WHERE t.person_id = l.person_id) AS terms,
      CASE WHEN m.wanted = 0 THEN 'off' ELSE 'wanted' END AS monthlyMail, m.decided_month AS monthlyMailDecided
    FROM leaders l JOIN areas a ON a.id = l.area_id LEFT JOIN commitment_mails m ON m.person_id = l.person_id WHERE l.person_id = ${personId}`);
  if (!row) return null;
  return {
    ...row,
    pledges: JSON.parse(row.pledges) as LeaderRecord['pledges'],
    excusedMonths: JSON.parse(row.excusedMonths) as LeaderRecord['excusedMonths'],
    terms: JSON.parse(row.terms) as LeaderRecord['terms'],
    days: JSON.parse(row.days) as number[],
    otherAreas: JSON.parse(row.otherAreas) as string[],
    offersFirst: row.offersFirst === 1,
  };
}

/** A walk someone leads, led, or shares. */
export interface LedWalk {
  walkId: number;
  part: 'leader' | 'co-leader';
  state: 'draft' | 'posted' | 'cancelled' | 'closed';
  gatherAt: number;
  zone: string;
  distanceMetres: number;
  routeName: string;
  locality: string;
  /** How many of its versions they wrote. */
  versionsWritten: number;
  /** When they typed its forecast in, ms. */
  forecastAt: number | null;
}

export function walksLed(q: Tx, personId: number): LedWalk[] {
  return q.all<LedWalk>(sql`
    SELECT w.id AS walkId, l.part, w.state, w.gather_at AS gatherAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality,
      (SELECT count(*) FROM walk_changes c WHERE c.walk_id = w.id AND c.by_person_id = l.person_id) AS versionsWritten, f.at AS forecastAt
    FROM walk_leaders l JOIN walks w ON w.id = l.walk_id LEFT JOIN forecasts f ON f.walk_id = w.id AND f.by_person_id = l.person_id
    WHERE l.person_id = ${personId} ORDER BY w.gather_at DESC`);
}
