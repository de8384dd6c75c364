import { type SQL, sql } from 'drizzle-orm';

/**
 * The numbers of those who turned up and are known by an address: whoever left it, and the minors in their care, whether that guardian turned up,
 * too, booked a sign-up, or is an absent adult of somebody's party. By the indexes on addresses.
 */
export function turnedUpKnownBy(email: string): SQL {
  return sql`(
    SELECT o.id FROM turned_up o WHERE o.email = ${email} AND o.email <> ''
    UNION
    SELECT c.id FROM turned_up o JOIN turned_up c ON c.walk_id = o.walk_id AND c.guardian = 't' || o.key WHERE o.email = ${email} AND o.email <> ''
    UNION
    SELECT c.id FROM sign_ups b JOIN party_members g ON g.sign_up_id = b.id AND g.email IS NULL
      JOIN turned_up c ON c.walk_id = b.walk_id AND c.guardian = 'm' || g.id WHERE b.email = ${email}
    UNION
    SELECT c.id FROM party_members g JOIN sign_ups b ON b.id = g.sign_up_id
      JOIN turned_up c ON c.walk_id = b.walk_id AND c.guardian = 'm' || g.id WHERE g.email = ${email})`;
}
