import { addMonths, monthsFrom } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import { newWalkHref } from '../coverage/needs.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords, monthName, monthWords } from '../web/when.js';
import { dueOf } from './due.js';
import type { LeaderMonth } from './rules.js';
import { type LeaderMonths, leaderMonths } from './store.js';
import { areaZoneOf } from './terms.js';
import { quietWords } from './words.js';

const MONTHS_BACK = 5;
const MONTHS_SHOWN = 12;

/**
 * A leader's own twelve months with what is due in one sentence; null for someone who never led. Five of them are behind, or fewer where
 * nothing was asked of them that far back.
 */
export function ownCommitment(services: Services, personId: number) {
  const { db, now, settings } = services;
  const today = wallOf(now(), areaZoneOf(db.q, personId)).date;
  const month = today.slice(0, 7);
  const around = monthsFrom(addMonths(month, -MONTHS_BACK), MONTHS_BACK + MONTHS_SHOWN);
  const found = leaderMonths(db.q, around, now(), personId)[0];
  if (!found) return null;
  const first = found.months.findIndex((one) => one.month === month || one.month >= (found.since ?? month));
  const leader = { ...found, months: found.months.slice(first, first + MONTHS_SHOWN) };
  return { today, month, leader, due: dueWords(leader, month, today, settings()), months: monthRows(leader, month, settings()) };
}

function dueWords(leader: LeaderMonths, month: string, today: string, settings: GroupSettings) {
  const due = dueOf(leader.months, month);
  if (!due) return null;
  const asked = leader.months.find((one) => one.month === due.month);
  const hasSome = asked !== undefined && asked.kept + asked.coming > 0;
  return {
    month: monthWords(due.month, settings.locale),
    isNow: due.month === month,
    walks: `${due.walks === 1 ? 'one' : due.walks}${hasSome ? ' more' : ''}`,
    by: { date: due.by, words: dateWords(due.by, settings.locale) },
    href: newWalkHref(leader.areaSlug, due.month, today),
  };
}

function monthRows(leader: LeaderMonths, month: string, settings: GroupSettings) {
  return leader.months.map((one: LeaderMonth) => ({
    ...monthName(one.month, settings.locale),
    month: one.month,
    current: one.month === month,
    past: one.month < month,
    ...quietWords(one, month),
  }));
}
