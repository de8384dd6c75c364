import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { addMonths, monthsFrom } from '../calc/month.js';
import { queueAge } from '../notices/store.js';
import type { Services } from '../services.js';
import { monthNow } from '../settings/home.js';
import { may } from '../web/access.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthName } from '../web/when.js';
import { areaMonths } from './store.js';

const MONTHS_SHOWN = 6;
const PRESSING_MONTHS = 3;
const MOST_PRESSING = 8;

/** The coverage board: where walks will be missing, by area and month. */
export function coverageRoutes(app: FastifyInstance, services: Services): void {
  const { db, settings, now } = services;

  function board(request: FastifyRequest, reply: FastifyReply) {
    const asked = line(request.query as Typed, 'from');
    const month = monthNow(services);
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
      pressing: pressing(month),
      earlier: `/coordinate?from=${addMonths(from, -MONTHS_SHOWN)}`,
      later: `/coordinate?from=${addMonths(from, MONTHS_SHOWN)}`,
      mail: queueAge(db.q, now()),
    });
  }

  function squares(met: number, needed: number): { on: boolean }[] {
    return Array.from({ length: needed }, (_, index) => ({ on: index < met }));
  }

  /** The emptiest of the next months first; among equals, the soonest. */
  function pressing(month: string) {
    return areaMonths(db.q, monthsFrom(month, PRESSING_MONTHS), settings().floorWalks)
      .flatMap((area) =>
        area.months.map((one) => ({
          ...one,
          ...monthName(one.month, settings().locale),
          area: area.name,
          slug: area.slug,
          leaders: area.leaders,
        })),
      )
      .filter((one) => one.fill !== 'full')
      .sort((a, b) => a.month.localeCompare(b.month) || a.met - b.met)
      .slice(0, MOST_PRESSING)
      .map((one) => ({ ...one, missing: one.needed - one.met, leaderWords: leaderWords(one.leaders) }));
  }

  app.get('/coordinate', may('coordinator'), board);
}

function leaderWords(leaders: number): string {
  return leaders === 1 ? '1 leader' : `${leaders} leaders`;
}
