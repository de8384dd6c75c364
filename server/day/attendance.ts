import { eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { attendance, turnedUp } from '../db/schema/index.js';
import { type Ended, metresOf } from './closing-rules.js';

/** How a walk ended for someone on its roll. */
export interface Attended {
  /** "m12" a party member, "tKEY" someone who turned up. */
  who: string;
  ended: Ended;
  metres: number;
}

/** A closed walk's attendance, by `who`. One query. */
export function attendanceOf(q: Tx, walkId: number): Map<string, Attended> {
  const rows = q
    .select({ row: attendance, key: turnedUp.key })
    .from(attendance)
    .leftJoin(turnedUp, eq(turnedUp.id, attendance.turnedUpId))
    .where(eq(attendance.walkId, walkId))
    .all();
  return new Map(
    rows.map(({ row, key }) => {
      const who = row.memberId === null ? `t${key ?? ''}` : `m${row.memberId}`;
      const { outcome: how, stop, metres } = row;
      const ended: Ended = how === 'short' || how === 'left' ? { how, stop } : { how };
      return [who, { who, ended, metres }];
    }),
  );
}

/** Keeps a walk's attendance in place of what was there. */
export function keepAttendance(tx: Tx, walkId: number, attended: readonly Attended[]): void {
  tx.delete(attendance).where(eq(attendance.walkId, walkId)).run();
  const turned = tx.select({ id: turnedUp.id, key: turnedUp.key }).from(turnedUp).where(eq(turnedUp.walkId, walkId)).all();
  const numbers = new Map(turned.map(({ id, key }) => [`t${key}`, id]));
  for (const { who, ended, metres } of attended) {
    const stop = 'stop' in ended ? ended.stop : 0;
    const whose = who.startsWith('m') ? { memberId: Number(who.slice(1)) } : { turnedUpId: numbers.get(who) ?? null };
    tx.insert(attendance)
      .values({ walkId, ...whose, outcome: ended.how, stop, metres })
      .run();
  }
}

/** How someone's walk counts. Pure. */
export function attended(who: string, ended: Ended, walk: Parameters<typeof metresOf>[1]): Attended {
  return { who, ended, metres: metresOf(ended, walk) };
}

/** An address that a closed walk's miles belong to, and whose they are. */
export interface Walked {
  who: string;
  name: string;
  metres: number;
  email: string;
  /** Who is addressed there. */
  toName: string;
}

/**
 * Everyone who walked, by the address that they are reached at: an absent adult's own, a minor's guardian's, else the booker's; of those who
 * turned up, the one they left. Whoever left none is not there. One query.
 */
export function walkedBy(q: Tx, walkId: number): Walked[] {
  return q.all<Walked>(sql`
    SELECT 'm' || m.id AS who, m.name, a.metres, coalesce(m.email, g.email, s.email) AS email, m.minor AS minor, m.id AS number,
      CASE WHEN m.email IS NOT NULL THEN m.name WHEN g.email IS NOT NULL THEN g.name ELSE s.name END AS toName
    FROM attendance a JOIN party_members m ON m.id = a.member_id LEFT JOIN party_members g ON g.id = m.guardian_id
      JOIN sign_ups s ON s.id = m.sign_up_id
    WHERE a.walk_id = ${walkId} AND a.outcome <> 'absent'
    UNION ALL
    SELECT 't' || t.key, t.name, a.metres, ${TURNED_UP_ADDRESS}, t.minor, t.id,
      CASE WHEN t.email <> '' THEN t.name WHEN u.email <> '' THEN u.name WHEN m.email IS NOT NULL THEN m.name ELSE s.name END
    FROM attendance a JOIN turned_up t ON t.id = a.turned_up_id
      LEFT JOIN turned_up u ON u.walk_id = t.walk_id AND t.guardian = 't' || u.key
      LEFT JOIN party_members m ON m.id = CASE WHEN t.guardian GLOB 'm*' THEN CAST(substr(t.guardian, 2) AS INTEGER) END LEFT JOIN sign_ups s ON s.id = m.sign_up_id
    WHERE a.walk_id = ${walkId} AND a.outcome <> 'absent' AND ${TURNED_UP_ADDRESS} IS NOT NULL
    ORDER BY minor, number`);
}

/** Their own address, or, of a minor, that of whoever answers for them. */
const TURNED_UP_ADDRESS = sql`coalesce(nullif(t.email, ''), nullif(u.email, ''), m.email, s.email)`;
