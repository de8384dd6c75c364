import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { addMonths, monthsFrom } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import { waitingWords } from '../joining/review-model.js';
import { type ComingWalk, comingWalksOf } from '../leaders/walk-store.js';
import { queueAge } from '../notices/store.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { shownDate } from '../walks/shown-date.js';
import { may } from '../web/access.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthName } from '../web/when.js';
import { monthsInReach, saturdayIn } from './rules.js';
import { areaMonths } from './store.js';

const MONTHS_SHOWN = 6;
const PRESSING_MONTHS = 3;
const MOST_PRESSING = 8;

/** The coverage board: where walks will be missing, by area and month. */
export function coverageRoutes(app: FastifyInstance, services: Services): void {
  const { db, settings, now } = services;

  function board(request: FastifyRequest, reply: FastifyReply) {
    const asked = line(request.query as Typed, 'from');
    const today = wallOf(now(), homeZone(services)).date;
    const month = today.slice(0, 7);
    const from = /^\d{4}-(0[1-9]|1[0-2])$/.test(asked) ? asked : month;
    const months = monthsFrom(from, MONTHS_SHOWN);
    const areas = areaMonths(db.q, months, settings().floorWalks);
    return page(request, reply, 'coordinate/board', {
      title: 'Coverage',
      months: months.map((one) => ({ ...monthName(one, settings().locale), current: one === month })),
      areas: areas.map((area) => ({
        ...area,
        leaderWords: leaderWords(area.leaders),
        months: area.months.map((one) => ({
          ...one,
          past: one.month < month,
          squares: squares(one.met, one.needed),
          none: one.fill === 'none',
          extra: Math.max(0, one.walks - one.needed),
        })),
      })),
      pressing: pressing(today, request.visitor.person?.leader === true),
      leaderless: comingWalksOf(db.q, 'stood down', now()).map(leaderless),
      earlier: `/coordinate?from=${addMonths(from, -MONTHS_SHOWN)}`,
      later: `/coordinate?from=${addMonths(from, MONTHS_SHOWN)}`,
      mail: queueAge(db.q, now()),
      applicationsWaiting: waitingWords(db.q),
    });
  }

  function squares(met: number, needed: number): { on: boolean }[] {
    return Array.from({ length: needed }, (_, index) => ({ on: index < met }));
  }

  /** The soonest of the months still in reach first; among equals, the emptiest. Who leads can post there; others ask those who do. */
  function pressing(today: string, leads: boolean) {
    return areaMonths(db.q, monthsInReach(today, PRESSING_MONTHS), settings().floorWalks)
      .flatMap((area) => area.months.map((one) => ({ ...one, area: area.name, slug: area.slug, leaders: area.leaders })))
      .filter((one) => one.fill !== 'full')
      .sort((a, b) => a.month.localeCompare(b.month) || a.met - b.met)
      .slice(0, MOST_PRESSING)
      .map((one) => ({
        ...one,
        ...monthName(one.month, settings().locale),
        missing: one.needed - one.met,
        leaderWords: leaderWords(one.leaders),
        href: leads ? `/lead/walks/new?area=${one.slug}&date=${saturdayIn(one.month, today)}` : '/coordinate/leaders',
        todo: leads ? 'Post a walk there' : 'Ask a leader',
      }));
  }

  function leaderless(walk: ComingWalk) {
    return { ...walk, href: `/lead/walks/${walk.id}/together`, date: shownDate(walk.gatherAt, walk.zone, settings(), now()) };
  }

  app.get('/coordinate', may('coordinator'), board);
}

function leaderWords(leaders: number): string {
  return leaders === 1 ? '1 leader' : `${leaders} leaders`;
}
