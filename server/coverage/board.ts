import type { FastifyRequest } from 'fastify';
import { addMonths, monthOf, monthsBetween, monthsFrom } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import type { Typed } from '../web/forms.js';
import { type Asked, readAsked } from './asked.js';
import { isShown } from './board-model.js';
import { type AreaCoverage, type CoverageTerms, coverageOf, termsNow, within } from './coverage.js';
import { type Gap, gapsOf } from './gaps.js';

/** What changed since the last visit is looked at in so many months from this one on. */
const AHEAD_MONTHS = 12;

/** The board as it is asked for. */
export interface Board {
  asked: Asked;
  terms: CoverageTerms;
  zone: string;
  /** The date it is in the group's own zone, YYYY-MM-DD, and its month. */
  today: string;
  now: string;
  /** The months that are shown. */
  shown: AreaCoverage[];
  /** A year from this month on, its last month, and the gaps in it. */
  ahead: AreaCoverage[];
  untilMonth: string;
  gaps: Gap[];
}

/** Works the board out: six queries at most, and the plan's. */
export function boardOf(services: Services, request: FastifyRequest): Board {
  const { db, settings } = services;
  const zone = homeZone(services);
  const terms = termsNow(db.q, services);
  const today = terms.todayIn(zone);
  const now = today.slice(0, 7);
  const asked = readAsked(request.query as Typed, now, settings().units);
  const months = monthsFrom(now, AHEAD_MONTHS);
  const ahead = coverageOf(db.q, terms, months);
  const shown = asked.months.every((month) => months.includes(month))
    ? within(ahead, asked.months, months)
    : coverageOf(db.q, terms, asked.months);
  const untilMonth = months.at(-1) ?? now;
  return { asked, terms, zone, today, now, shown, ahead, untilMonth, gaps: ahead.flatMap(gapsOf) };
}

/**
 * What tells what became of the gaps that somebody saw at an instant (ms), and its first month: the year ahead, and before it the months since, a year of them
 * at most. Two queries where a month has gone by since.
 */
export function coverageSince(q: Tx, { terms, zone, now, ahead }: Board, seenAt: number): { coverage: AreaCoverage[]; from: string } {
  const from = [monthOf(seenAt, zone), addMonths(now, -AHEAD_MONTHS)].sort().at(-1) ?? now;
  if (from >= now) return { coverage: ahead, from: now };
  return { coverage: [...coverageOf(q, terms, monthsBetween(from, addMonths(now, -1))), ...ahead], from };
}

/** The part of what is shown that the lengths asked for leave. */
export function filtered({ shown, asked }: Board): AreaCoverage[] {
  if (asked.minMetres === null && asked.maxMetres === null) return shown;
  return shown.map((one) => ({ ...one, covered: one.covered.filter(({ need }) => isShown(need, asked)) }));
}
