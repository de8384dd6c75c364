import type { FastifyReply, FastifyRequest } from 'fastify';
import { wallOf } from '../calc/zone.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Kept } from '../web/kept.js';
import { page, pageHtml } from '../web/page.js';
import { dateWords } from '../web/when.js';
import { planCalendar } from './calendar.js';
import { planChart } from './chart.js';
import { planInForce } from './store.js';
import { weekRows } from './week-rows.js';
import { eventWords, planNow } from './week-words.js';
import { startWords } from './words.js';

/** The season plan for everyone: as a page, and as a feed for calendars. The same for all who are not signed in, so both are kept until something changes. */
export function publicPlanPages(services: Services) {
  const { db, now, settings } = services;
  const kept = new Kept<string>(db, now);

  function model() {
    const current = settings();
    const plan = planInForce(db.q, current);
    const title = current.eventName === '' ? 'Season plan' : `Season plan: ${current.eventName}`;
    if (!plan) return { title, plan: null };
    const today = wallOf(now(), homeZone(services)).date;
    const here = planNow(plan, today, current);
    return {
      title,
      plan: {
        event: `${plan.weeks.length} weeks to ${eventWords(plan.wish)}, from ${dateWords(plan.wish.eventDay, current.locale)}`,
        ...here,
        walksHref: here.week ? `/?week=${here.week.number}` : null,
        // Before the season it is said above already.
        start: here.week || here.isOver ? startWords(plan) : '',
        rows: weekRows(plan, current, today),
        unit: current.units === 'mi' ? 'miles' : 'kilometres',
      },
      chart: planChart(plan, current),
    };
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    if (request.visitor.person) return page(request, reply, 'plan/page', model());
    const html = kept.get('page', () => pageHtml(request.server.pages, request.visitor, '/plan', 'plan/page', model()));
    return reply.type('text/html; charset=utf-8').send(html);
  }

  function ics(_request: FastifyRequest, reply: FastifyReply) {
    const text = kept.get('calendar', () => planCalendar(planInForce(db.q, settings()), services));
    return reply.type('text/calendar; charset=utf-8').send(text);
  }

  return { show, ics };
}
