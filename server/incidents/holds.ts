import { and, eq, sql } from 'drizzle-orm';
import { forgetContacts } from '../contacts/sealed.js';
import { turnedUpKnownBy } from '../day/in-their-care.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { incidents, partyMembers, turnedUp, turnedUpContacts } from '../db/schema/index.js';
import { ERASED } from '../privacy/erased.js';
import type { NamedWalk } from '../walks/named.js';
import type { IncidentRow } from './store.js';
import type { Outcome } from './words.js';

/*
 * While an incident is open it holds what is needed to reach the person concerned: their emergency contact, from the calendar and from erasing;
 * and the sign-ups of the walk from the calendar.
 */

/** Party members whose contact an open incident holds. */
export const HELD_MEMBERS = sql`(SELECT CAST(substr(i.who, 2) AS INTEGER) FROM incidents i WHERE i.state = 'open' AND i.who LIKE 'm%')`;

/** The same of those who turned up, by the number of their row. */
export const HELD_TURNED_UP = sql`(SELECT t.id FROM incidents i JOIN turned_up t ON t.walk_id = i.walk_id AND 't' || t.key = i.who WHERE i.state = 'open')`;

/** Walks on which something happened that is still followed up. */
export const HELD_WALKS = sql`(SELECT i.walk_id FROM incidents i WHERE i.state = 'open')`;

/** Which of some party members' contacts are held. */
export function heldMembers(q: Tx, ids: number[]): Set<number> {
  const rows = q.all<{ id: number }>(sql`SELECT value AS id FROM json_each(${JSON.stringify(ids)}) WHERE value IN ${HELD_MEMBERS}`);
  return new Set(rows.map((row) => row.id));
}

/** Walks on which something happened to somebody, or to whom they signed up, that is still followed up: by the address they are known by. */
export function heldFor(q: Tx, email: string): NamedWalk[] {
  return q.all<NamedWalk>(sql`
    SELECT DISTINCT w.id AS walkId, w.gather_at AS gatherAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality
    FROM incidents i JOIN walks w ON w.id = i.walk_id
    WHERE i.state = 'open' AND (
      EXISTS (SELECT 1 FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id
        WHERE m.id = CAST(substr(i.who, 2) AS INTEGER) AND i.who LIKE 'm%' AND (s.email = ${email} OR m.email = ${email}
          OR m.guardian_id IN (SELECT g.id FROM party_members g WHERE g.email = ${email})))
      OR EXISTS (SELECT 1 FROM turned_up t WHERE t.walk_id = i.walk_id AND 't' || t.key = i.who AND t.id IN ${turnedUpKnownBy(email)}))
    ORDER BY w.gather_at`);
}

/** Closes an incident, and lets go what it held: the contact of whoever was erased meanwhile goes at once, the rest by the calendar. */
export function closeIncident(tx: Tx, { id, walkId, who }: IncidentRow, outcome: Outcome, { by, now }: { by: number; now: number }): void {
  tx.update(incidents).set({ state: 'closed', outcome, closedAt: now, closedBy: by }).where(eq(incidents.id, id)).run();
  writeDown(tx, { at: now, personId: by, action: 'closed an incident', subject: `incident:${id}`, detail: { outcome } });
  letGo(tx, walkId, who);
}

/** Opens it again: from here on it holds what is still there. */
export function reopenIncident(tx: Tx, id: number, { by, now }: { by: number; now: number }): void {
  tx.update(incidents).set({ state: 'open', outcome: '', closedAt: null, closedBy: null }).where(eq(incidents.id, id)).run();
  writeDown(tx, { at: now, personId: by, action: 'opened a closed incident again', subject: `incident:${id}` });
}

/** Lets go of what was held of somebody, where no other open incident concerns them: of whoever was erased meanwhile, their contact. */
export function letGo(tx: Tx, walkId: number, who: string): void {
  const others = tx
    .select({ id: incidents.id })
    .from(incidents)
    .where(and(eq(incidents.walkId, walkId), eq(incidents.who, who), sql`${incidents.state} = 'open'`))
    .get();
  if (others !== undefined) return;
  if (who.startsWith('m')) {
    const member = tx
      .select({ id: partyMembers.id, name: partyMembers.name })
      .from(partyMembers)
      .where(eq(partyMembers.id, Number(who.slice(1))))
      .get();
    if (member?.name === ERASED) forgetContacts(tx, [member.id]);
  }
  if (!who.startsWith('t')) return;
  const one = tx
    .select({ id: turnedUp.id, name: turnedUp.name })
    .from(turnedUp)
    .where(and(eq(turnedUp.walkId, walkId), eq(turnedUp.key, who.slice(1))))
    .get();
  if (one?.name === ERASED) tx.delete(turnedUpContacts).where(eq(turnedUpContacts.turnedUpId, one.id)).run();
}
