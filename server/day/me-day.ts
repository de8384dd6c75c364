import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import type { NamedWalk } from '../walks/named.js';
import { turnedUpKnownBy } from './in-their-care.js';

/** Somebody's own row, where they turned up without having signed up and left their address. */
export interface OwnTurnedUp extends NamedWalk {
  id: number;
  key: string;
  name: string;
  minor: boolean;
  guardian: string;
  phone: string;
  addedAt: number;
  rulesVersion: number | null;
  rulesAgreedAt: number | null;
  /** The number of the waiver that was signed for them. */
  waiver: number | null;
  hasContact: boolean;
}

const WALK = sql`w.id AS walkId, w.gather_at AS gatherAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality`;

/** Where somebody turned up, and the minors in their care; the latest walk first. */
export function ownTurnedUp(q: Tx, email: string): OwnTurnedUp[] {
  const rows = q.all<Omit<OwnTurnedUp, 'minor' | 'hasContact'> & { minor: number; hasContact: number }>(sql`
    SELECT ${WALK}, t.id, t.key, t.name, t.minor, t.guardian, t.phone, t.added_at AS addedAt, x.version AS rulesVersion, t.rules_agreed_at AS rulesAgreedAt,
      t.waiver_id AS waiver, c.turned_up_id IS NOT NULL AS hasContact
    FROM turned_up t JOIN walks w ON w.id = t.walk_id
      LEFT JOIN texts x ON x.id = t.rules_text_id LEFT JOIN turned_up_contacts c ON c.turned_up_id = t.id
    WHERE t.id IN ${turnedUpKnownBy(email)} ORDER BY w.gather_at DESC, t.id`);
  return rows.map((row) => ({ ...row, minor: row.minor === 1, hasContact: row.hasContact === 1 }));
}

/** That something happened to somebody on a walk and was written down, or that they wrote it. Not what: that may be about others, too. */
export interface OwnIncident extends NamedWalk {
  id: number;
  /** Who on the roll; null where it was written about somebody else. */
  about: string | null;
  written: number;
  byYou: boolean;
  called: boolean;
  state: 'open' | 'closed';
  dueOn: string;
  followedUpByYou: boolean;
  outcome: string;
  closedAt: number | null;
}

/** Incidents about somebody, by the members and rows that are theirs, and those they wrote or follow up; the latest first. */
export function ownIncidents(q: Tx, personId: number, whos: { walkId: number; who: string }[]): OwnIncident[] {
  const rows = q.all<
    Omit<OwnIncident, 'byYou' | 'called' | 'followedUpByYou'> & { byYou: number; called: number; followedUpByYou: number }
  >(sql`
    SELECT ${WALK}, i.id, nullif(i.who, '') AS about, i.created_at AS written, coalesce(i.by_person_id = ${personId}, 0) AS byYou, i.called, i.state,
      i.due_on AS dueOn, coalesce(i.assigned_to = ${personId}, 0) AS followedUpByYou, i.outcome, i.closed_at AS closedAt
    FROM incidents i JOIN walks w ON w.id = i.walk_id
    WHERE i.id IN (
      SELECT b.id FROM incidents b WHERE b.by_person_id = ${personId} OR b.assigned_to = ${personId}
      UNION SELECT c.id FROM json_each(${JSON.stringify(whos)}) AS own
        JOIN incidents c ON c.walk_id = json_extract(own.value, '$.walkId') AND c.who = json_extract(own.value, '$.who'))
    ORDER BY i.id DESC`);
  return rows.map((row) => ({ ...row, byYou: row.byYou === 1, called: row.called === 1, followedUpByYou: row.followedUpByYou === 1 }));
}
