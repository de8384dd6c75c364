import type { FastifyReply, FastifyRequest } from 'fastify';
import { forecast } from '../calc/forecast.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import { leaderMonths } from '../commitment/store.js';
import { planInForce } from '../plan/store.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { WINDOWS } from './asked.js';
import { coverageOf } from './coverage.js';
import { forecastModel } from './forecast-model.js';
import { busyDates, leadsWhat } from './forecast-store.js';
import { forecastGap, forecastLeaders } from './promised.js';
import { walkersLately } from './store.js';
import { byUrgency } from './urgency.js';

/** How promises were kept is looked up in so many whole months behind this one. */
const HISTORY_MONTHS = 12;

/** What the board comes to if leaders keep what they promised, and if they keep it as so far. */
export function forecastPages(services: Services) {
  const { db, settings, now: clock } = services;

  /** Thirteen queries, whatever there is. */
  function show(request: FastifyRequest, reply: FastifyReply) {
    const now = clock();
    const today = wallOf(now, homeZone(services)).date;
    const month = today.slice(0, 7);
    const count = WINDOWS.find((one) => String(one) === line(request.query as Typed, 'months')) ?? WINDOWS[0];
    const months = monthsFrom(month, count);
    const terms = { plan: planInForce(db.q, settings()), settings: settings(), todayIn: (zone: string) => wallOf(now, zone).date };
    const coverage = coverageOf(db.q, terms, months);
    const walkers = walkersLately(db.q, today);
    const all = leaderMonths(db.q, monthsFrom(addMonths(month, -HISTORY_MONTHS), HISTORY_MONTHS + count), now);
    const leaders = forecastLeaders(all, leadsWhat(db.q), busyDates(db.q, now), month);
    const made = forecast(leaders, byUrgency(coverage, walkers).map(forecastGap));
    return page(request, reply, 'coordinate/forecast', {
      title: 'What promises will fill',
      ...forecastModel({ coverage, months, leaders, forecast: made }, settings()),
    });
  }

  return { show };
}
