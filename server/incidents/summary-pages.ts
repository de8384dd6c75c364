import type { FastifyReply, FastifyRequest } from 'fastify';
import { addMonths, monthOf } from '../calc/month.js';
import type { Services } from '../services.js';
import { homeZone, monthNow } from '../settings/home.js';
import { seasonBegan } from '../settings/season.js';
import { csvOf } from '../web/csv.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthWords } from '../web/when.js';
import { countedBetween } from './count-store.js';
import { FEW, type Summary, summarise } from './summary.js';

const MONTH = /^\d{4}-(0[1-9]|1[0-2])$/;
const YEAR_MONTHS = 12;

/** What a season's incidents come to, without names: to print, and as CSV. */
export function summaryPages(services: Services) {
  const { settings } = services;

  function made(request: FastifyRequest): { from: string; until: string; summary: Summary } {
    const query = request.query as Typed;
    const asked = (field: string) => (MONTH.test(line(query, field)) ? line(query, field) : null);
    const until = asked('until') ?? monthNow(services);
    const began = seasonBegan(settings(), services.now());
    const season = began === null ? addMonths(monthNow(services), 1 - YEAR_MONTHS) : monthOf(began, homeZone(services));
    const from = asked('from') ?? [season, until].sort()[0] ?? until;
    return { from, until, summary: summarise(countedBetween(services, from, until), words) };
  }

  function words(month: string): string {
    return monthWords(month, settings().locale);
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const { from, until, summary } = made(request);
    return page(request, reply, 'incidents/summary', {
      title: 'Incidents of the season, without names',
      group: settings().groupName,
      span: from === until ? words(from) : `${words(from)} to ${words(until)}`,
      form: { from, until },
      csv: `/coordinate/incidents/summary.csv?from=${from}&until=${until}`,
      some: summary.all.count > 0,
      all: summary.all,
      few: FEW,
      tables: [
        { title: 'By kind', rows: summary.kinds },
        { title: 'By month', rows: summary.months },
        { title: 'By area', rows: summary.areas },
      ],
    });
  }

  function csv(request: FastifyRequest, reply: FastifyReply) {
    const { from, until, summary } = made(request);
    const rows = (by: string, some: Summary['kinds']) => some.map((row) => [by, row.label, row.count, row.called]);
    const body = csvOf([
      ['by', 'what', 'incidents', 'emergency services called'],
      ...rows('all', [summary.all]),
      ...rows('kind', summary.kinds),
      ...rows('month', summary.months),
      ...rows('area', summary.areas),
    ]);
    return reply
      .header('Cache-Control', 'no-store')
      .header('Content-Disposition', `attachment; filename="incidents-${from}-${until}.csv"`)
      .type('text/csv; charset=utf-8; header=present')
      .send(body);
  }

  return { show, csv };
}
