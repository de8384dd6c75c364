import { eq, sql } from 'drizzle-orm';
import { allAreas } from '../areas/store.js';
import { wallOf } from '../calc/zone.js';
import { areaNeeds, newWalkHref } from '../coverage/needs.js';
import type { Tx } from '../db/open.js';
import { areas, commitmentMails, leaders } from '../db/schema/index.js';
import { hashed, type Sealer } from '../db/seal.js';
import type { OweContext } from '../notices/compose.js';
import { insertNotice } from '../notices/owed.js';
import { wantsMails } from './change-store.js';
import { type MailMoment, type MonthlyContent, mailMoment } from './monthly.js';
import type { LeaderMonth } from './rules.js';
import { type LeaderMonths, leaderMonths } from './store.js';

/** A leader of whom it is not decided yet whether they need this month's mail. */
interface Undecided {
  personId: number;
  month: string;
  /** They want it, and led already on the day. */
  asked: number;
}

/** The leaders to decide about, now that the day has come in their area's zone; none on most days. Two queries. */
export function undecided(q: Tx, { now, settings }: Pick<OweContext, 'now' | 'settings'>): Undecided[] {
  const moments = momentsOf(q, now, settings.commitmentDay);
  if (moments.size === 0) return [];
  const due = JSON.stringify([...moments].map(([zone, moment]) => ({ zone, ...moment })));
  return q.all<Undecided>(sql`
    SELECT l.person_id AS personId, d.value ->> 'month' AS month, coalesce(m.wanted, 1) AND t.at <= d.value ->> 'at' AS asked
    FROM json_each(${due}) d JOIN areas a ON a.zone = d.value ->> 'zone' JOIN leaders l ON l.area_id = a.id AND l.state = 'approved'
      JOIN leader_terms t ON t.person_id = l.person_id AND t.until_month IS NULL
      LEFT JOIN commitment_mails m ON m.person_id = l.person_id
    WHERE m.decided_month IS NULL OR m.decided_month < d.value ->> 'month'`);
}

function momentsOf(q: Tx, now: number, day: number): Map<string, MailMoment> {
  const zones = q.selectDistinct({ zone: areas.zone }).from(areas).all();
  const moments = new Map<string, MailMoment>();
  for (const { zone } of zones) {
    const moment = mailMoment(now, zone, day);
    if (moment) moments.set(zone, moment);
  }
  return moments;
}

/**
 * Decides about each leader once a month, and owes the mail to those who have nothing posted for the coming month. Gives how many.
 * Whoever posts, is excused, stood down, or turns it off afterwards does not get it: {@link mailStands} is asked again as it goes.
 */
export function oweMonthlyMails(tx: Tx, context: OweContext, sealer: Sealer): number {
  const open = undecided(tx, context);
  if (open.length === 0) return 0;
  const months = [...new Set(open.map((one) => one.month))].sort();
  const standing = new Map(leaderMonths(tx, months, context.now).map((leader) => [leader.personId, leader]));
  decided(tx, open);
  const content = contentMaker(tx, context);
  let owed = 0;
  for (const { personId, month, asked } of open) {
    const leader = standing.get(personId);
    const one = leader?.months.find((found) => found.month === month);
    if (!asked || !leader || !one || !isEmpty(one)) continue;
    owed += 1;
    oweMail(tx, context, sealer, leader, content(leader, one));
  }
  return owed;
}

/** Something is promised for the month, nobody is excused, and nothing is posted. */
function isEmpty(one: LeaderMonth): boolean {
  return one.state === 'short' && one.kept + one.coming === 0;
}

function oweMail(tx: Tx, context: OweContext, sealer: Sealer, leader: LeaderMonths, commitment: MonthlyContent): void {
  const { personId, name, email } = leader;
  const event = `commitment:${personId}:${commitment.month}`;
  insertNotice(tx, context, { event, kind: 'commitment', to: { name, email }, content: { commitment }, giveUpAt: commitment.until });
  const offHash = hashed(mailsOffToken(sealer, personId));
  tx.update(commitmentMails).set({ offHash }).where(eq(commitmentMails.personId, personId)).run();
}

function decided(tx: Tx, open: Undecided[]): void {
  tx.run(sql`
    INSERT INTO commitment_mails (person_id, decided_month)
    SELECT value ->> 'personId', value ->> 'month' FROM json_each(${JSON.stringify(open)}) WHERE true
    ON CONFLICT (person_id) DO UPDATE SET decided_month = excluded.decided_month`);
}

/** What each mail says; an area's needs are looked up once. */
function contentMaker(tx: Tx, { now, settings }: OweContext) {
  const known = new Map(allAreas(tx).map((area) => [area.id, area]));
  const needs = new Map<number, MonthlyContent['needs']>();
  return (leader: LeaderMonths, { month, pledge }: LeaderMonth): MonthlyContent => {
    const zone = known.get(leader.areaId)?.zone ?? 'UTC';
    const today = wallOf(now, zone).date;
    const own = needs.get(leader.areaId) ?? areaNeeds(tx, leader.areaId, today, settings).map(({ words, href }) => ({ words, href }));
    needs.set(leader.areaId, own);
    return {
      personId: leader.personId,
      month,
      pledge: pledge ?? 1,
      areaName: leader.areaName,
      needs: own,
      href: newWalkHref(leader.areaSlug, month, today),
      until: mailMoment(now, zone, settings.commitmentDay)?.until ?? now,
    };
  };
}

/** Whether a monthly mail that waits is still to go. */
export function mailStands(q: Tx, { now, settings }: Pick<OweContext, 'now' | 'settings'>, { personId, month }: MonthlyContent): boolean {
  const leader = leaderMonths(q, [month], now, personId)[0];
  const one = leader?.months[0];
  return settings.commitmentDay > 0 && leader?.standing === 'approved' && one !== undefined && isEmpty(one) && wantsMails(q, personId);
}

/** The secret of the address that turns a leader's mails off. */
export function mailsOffToken(sealer: Sealer, personId: number): string {
  return sealer.derive('monthly mail off', personId);
}

/** Whose mails an address turns off: undefined where it is nobody's. */
export function leaderOfToken(q: Tx, token: string): number | undefined {
  return q
    .select({ personId: commitmentMails.personId })
    .from(commitmentMails)
    .innerJoin(leaders, eq(leaders.personId, commitmentMails.personId))
    .where(eq(commitmentMails.offHash, hashed(token)))
    .get()?.personId;
}
