import { and, eq, gt, ne, sql } from 'drizzle-orm';
import { addDays } from '../calc/month.js';
import { type SeasonPlan, type SeasonWish, seasonPlan } from '../calc/plan.js';
import { daysFrom } from '../calc/plan-calendar.js';
import { type WeekEdit, withEdits } from '../calc/plan-edits.js';
import type { PlanFinding } from '../calc/plan-findings.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { planWeeks } from '../db/schema/index.js';
import type { GroupSettings } from '../settings/rules.js';
import { planChanged } from '../settings/season.js';
import { saveSettings } from '../settings/store.js';
import { type WishSettings, wishOf } from './wish.js';

/** The season as coordinators see it. */
export interface Season {
  /** As it is worked out, and with the weeks that were set by hand. */
  workedOut: SeasonPlan;
  plan: SeasonPlan;
  findings: PlanFinding[];
  /** Mondays of the weeks set by hand, and of those whose week the season does not have any more. */
  setByHand: string[];
  leftOut: string[];
}

/** The season plan in force: worked out from the settings, with the weeks that coordinators set; null where there is none. One query. */
export function planInForce(q: Tx, settings: WishSettings): SeasonPlan | null {
  return seasonInForce(q, settings)?.plan ?? null;
}

/** The plan in force, and what a coordinator should know of it; null where there is none. One query. */
export function seasonInForce(q: Tx, settings: WishSettings): Season | null {
  const wish = wishOf(settings);
  if (!wish) return null;
  const rows = q.select().from(planWeeks).where(eq(planWeeks.eventDay, wish.eventDay)).orderBy(planWeeks.weekFrom).all();
  const key = JSON.stringify([wish, rows]);
  if (last.key !== key) last = { key, season: seasonOf(wish, rows) };
  return last.season;
}

/** The last one worked out, and from what: nearly every page asks for it, and its weeks are kept with what follows from them. */
let last: { key: string; season: Season | null } = { key: '', season: null };

function seasonOf(wish: SeasonWish, rows: (typeof planWeeks.$inferSelect)[]): Season {
  const workedOut = seasonPlan(wish);
  const isIn = (monday: string) => workedOut.weeks.some(({ from }) => from === monday);
  const mondays = rows.map(({ weekFrom }) => weekFrom);
  const edits = rows
    .filter(({ weekFrom }) => isIn(weekFrom))
    .map(({ weekFrom, weekdayMetres, saturdayMetres, sundayMetres }): WeekEdit => {
      return { week: numberOf(workedOut, weekFrom), weekday: weekdayMetres, saturday: saturdayMetres, sunday: sundayMetres };
    });
  return {
    workedOut,
    ...(edits.length === 0 ? { plan: workedOut, findings: [] } : withEdits(workedOut, edits)),
    setByHand: mondays.filter(isIn),
    leftOut: mondays.filter((monday) => !isIn(monday)),
  };
}

function numberOf(plan: SeasonPlan, monday: string): number {
  return daysFrom(plan.from, monday) / 7 + 1;
}

/** How many weeks are set by hand for another first day of an event that is still to come: they count for nothing since it was moved. @param today YYYY-MM-DD */
export function weeksOfOtherDays(q: Tx, eventDay: string, today: string): number {
  const others = and(ne(planWeeks.eventDay, eventDay), gt(planWeeks.eventDay, addDays(today, -1)));
  return q.select({ count: sql<number>`count(*)` }).from(planWeeks).where(others).get()?.count ?? 0;
}

/** A week's walks in whole metres; null where there is none. */
export interface WeekLengths {
  weekday: number[];
  saturday: number | null;
  sunday: number | null;
}

/** A week's lengths as the plan has them, to whole metres. Pure. */
export function lengthsOf({ walks }: Pick<SeasonPlan['weeks'][number], 'walks'>): WeekLengths {
  const of = (slot: string) => walks.filter((walk) => walk.slot === slot).map(({ metres }) => Math.round(metres));
  return { weekday: of('weekday'), saturday: of('saturday')[0] ?? null, sunday: of('sunday')[0] ?? null };
}

/** Who changes something, and when (ms). */
interface By {
  personId: number;
  now: number;
}

interface SetWeek {
  eventDay: string;
  monday: string;
  /** Null: as it is worked out. */
  lengths: WeekLengths | null;
}

/** Keeps a week as someone set it, or lets it be worked out again, and writes that down; the plan's calendar counts it as another version. */
export function setWeek(tx: Tx, { eventDay, monday, lengths }: SetWeek, settings: GroupSettings, { personId, now }: By): void {
  const key = { eventDay, weekFrom: monday };
  tx.delete(planWeeks)
    .where(and(eq(planWeeks.eventDay, eventDay), eq(planWeeks.weekFrom, monday)))
    .run();
  if (lengths) {
    const { weekday, saturday, sunday } = lengths;
    const row = { ...key, weekdayMetres: weekday, saturdayMetres: saturday, sundayMetres: sunday, changedAt: now, changedBy: personId };
    tx.insert(planWeeks).values(row).run();
  }
  saveSettings(tx, planChanged(settings, now));
  const action = lengths ? 'set a week of the season plan' : 'let a week of the season plan be worked out again';
  writeDown(tx, { at: now, personId, action, subject: `plan:${monday}`, detail: { eventDay, ...lengths } });
}

/** Saves the season's settings, and writes that down. */
export function saveSeason(tx: Tx, changed: Partial<GroupSettings>, { personId, now }: By): void {
  saveSettings(tx, changed);
  writeDown(tx, { at: now, personId, action: 'changed the season', subject: 'season' });
}
