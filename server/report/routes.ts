import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { monthOf } from '../calc/month.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { may } from '../web/access.js';
import type { Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { readAsked } from './asked.js';
import { reportCsv } from './csv.js';
import { reportModel } from './model.js';
import { readReport } from './store.js';

/** What the group did in a season, for the coordinators: as a page to print, and for spreadsheets. */
export function reportRoutes(app: FastifyInstance, services: Services): void {
  const { db, settings, now } = services;

  function made(request: FastifyRequest) {
    const zone = homeZone(services);
    const month = monthOf(now(), zone);
    const asked = readAsked(request.query as Typed, month, settings());
    return { zone, month, asked, report: readReport(db.q, asked.months, now()) };
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const { zone, month, asked, report } = made(request);
    const today = when(now(), zone, settings()).fullDate;
    const model = reportModel(report, asked, { now: month, settings: settings() });
    return page(request, reply, 'report/page', { title: `Report: ${model.span}`, today, ...model });
  }

  function csv(request: FastifyRequest, reply: FastifyReply) {
    const { asked, report } = made(request);
    const name = `report-${asked.months[0]}-${asked.months.at(-1)}.csv`;
    reply.header('Content-Disposition', `attachment; filename="${name}"`).header('Cache-Control', 'no-store');
    return reply.type('text/csv; charset=utf-8').send(reportCsv(report, settings()));
  }

  app.get('/coordinate/report', may('coordinator'), show);
  app.get('/coordinate/report.csv', may('coordinator'), csv);
}
