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
import { quietWords, walkCount } from './words.js';

const MONTHS_BACK = 5;
const MONTHS_SHOWN = 12;

/** A leader's own twelve months, five of them behind, with what is due in one sentence; null for someone who never led. */
export function ownCommitment(services: Services, personId: number) {
  const { db, now, settings } = services;
  const today = wallOf(now(), areaZoneOf(db.q, personId)).date;
  const month = today.slice(0, 7);
  const leader = leaderMonths(db.q, monthsFrom(addMonths(month, -MONTHS_BACK), MONTHS_SHOWN), now(), personId)[0];
  if (!leader) return null;
  return { today, month, leader, due: dueWords(leader, month, today, settings()), months: monthRows(leader, month, settings()) };
}

function dueWords(leader: LeaderMonths, month: string, today: string, settings: GroupSettings) {
  const due = dueOf(leader.months, month);
  if (!due) return null;
  return {
    month: monthWords(due.month, settings.locale),
    walks: walkCount(due.walks),
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
