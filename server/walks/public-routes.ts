import { promisify } from 'node:util';
import { gunzip } from 'node:zlib';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { areaSlugs } from '../areas/store.js';
import { wallOf } from '../calc/zone.js';
import { gpxOf } from '../gpx/store.js';
import { calendarFile } from '../notices/calendar.js';
import { planStrip, suitsThisWeek, weekOptions } from '../plan/on-walks.js';
import { planInForce } from '../plan/store.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { may } from '../web/access.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { takesGzip } from '../web/headers.js';
import { Kept } from '../web/kept.js';
import { page, pageHtml } from '../web/page.js';
import { walkForCalendar } from './calendar.js';
import { SURFACES } from './facts.js';
import { feedModel } from './feed.js';
import { DAYS, readFilter } from './filter.js';
import { ownSignUp } from './own-sign-up.js';
import { leadersOf, placesTaken, walkById } from './store.js';
import { timetable, withStops } from './timetable.js';
import { timetableDays } from './timetable-page.js';
import { walkPage } from './walk-page.js';
import { walksJson } from './walks-json.js';

/** Enough for a month or two of a busy region; the page says where to go on. */
const MOST_ROWS = 60;
const MOST_IN_FEED = 300;

/** What anyone may read of walks. */
export function publicWalkRoutes(app: FastifyInstance, services: Services): void {
  const kept = new Kept<string>(services.db, services.now);
  const { db, settings, now } = services;

  /** A page that is the same for everyone who is not signed in is made once and kept until something changes. */
  function keptPage(request: FastifyRequest, reply: FastifyReply, view: string, make: () => Parameters<typeof page>[3]) {
    if (request.visitor.person) return page(request, reply, view, make());
    const html = kept.get(request.url, () => pageHtml(request.server.pages, request.visitor, request.url, view, make()));
    return reply.type('text/html; charset=utf-8').send(html);
  }

  function filterOf(request: FastifyRequest) {
    const plan = planInForce(db.q, settings());
    const today = wallOf(now(), homeZone(services)).date;
    return { plan, today, ...readFilter(request.query as Typed, { settings: settings(), areaSlugs: areaSlugs(db.q), plan, today }) };
  }

  function timetablePage(request: FastifyRequest, reply: FastifyReply) {
    return keptPage(request, reply, 'walks/timetable', () => {
      const { filter, faults, isSwapped, plan, today } = filterOf(request);
      const query = request.query as Typed;
      // The form offers today: asked for, it means from now on, not this morning's walks again.
      const rows = timetable(db.q, filter.from === today ? { ...filter, from: null } : filter, now(), MOST_ROWS + 1);
      const lengths = [line(query, 'min'), line(query, 'max')];
      const [min, max] = isSwapped ? lengths.reverse() : lengths;
      const shown = rows.slice(0, MOST_ROWS);
      const chosen = (name: string, value: string) => line(query, name) === value;
      return {
        title: 'Walks',
        days: timetableDays(shown, settings(), now(), (row) => suitsThisWeek(plan, today, row, settings())),
        planStrip: planStrip(plan, today, settings()),
        planWeeks: weekOptions(plan, today, settings(), line(query, 'week')),
        units: settings().units === 'mi' ? 'miles' : 'km',
        filtered: Object.keys(query).length > 0,
        faults: Object.values(faults),
        form: {
          from: Object.keys(query).length === 0 ? today : line(query, 'from'),
          to: line(query, 'to'),
          min,
          max,
          stepfree: line(query, 'stepfree') !== '',
        },
        moreFilters: ['min', 'max', 'to', 'day', 'surface', 'stepfree', 'week'].some((name) => line(query, name) !== ''),
        areas: areaChoices(chosen),
        daysOfWeek: Object.keys(DAYS).map((day) => ({ value: day, label: DAY_LABELS[day], selected: chosen('day', day) })),
        surfaces: SURFACES.map((surface) => ({ value: surface, label: surface, selected: chosen('surface', surface) })),
        later: rows.length > MOST_ROWS ? laterHref(query, shown.at(-1)?.wallDate ?? '') : null,
      };
    });
  }

  function areaChoices(chosen: (name: string, value: string) => boolean) {
    return db.q.query.areas
      .findMany({ columns: { slug: true, name: true }, orderBy: (area, { asc }) => asc(area.name) })
      .sync()
      .map((area) => ({ value: area.slug, label: area.name, selected: chosen('area', area.slug) }));
  }

  function publicWalk(request: FastifyRequest) {
    const id = Number((request.params as { walk: string }).walk);
    const walk = walkById(db.q, id);
    if (!walk || walk.postedAt === null) throw Problem.notFound('There is no walk at this address. It may have been mistyped.');
    return walk;
  }

  function oneWalk(request: FastifyRequest, reply: FastifyReply) {
    return keptPage(request, reply, 'walks/page', () => {
      const walk = publicWalk(request);
      const own = ownSignUp(services, walk.id, request.visitor.person?.email);
      return walkPage(db.q, walk, { leaders: leadersOf(db.q, walk.id), taken: placesTaken(db.q, walk.id), own }, services);
    });
  }

  function walkIcs(request: FastifyRequest, reply: FastifyReply) {
    const text = kept.get(request.url, () => {
      const walk = publicWalk(request);
      return calendarFile([walkForCalendar(walk, services)], settings().groupName);
    });
    return reply.type('text/calendar; charset=utf-8').header('Content-Disposition', `inline; filename="walk.ics"`).send(text);
  }

  /** Kept gzipped, and sent as it lies. */
  async function routeGpx(request: FastifyRequest, reply: FastifyReply) {
    const walk = publicWalk(request);
    const gpx = walk.routeId === null ? undefined : gpxOf(db.q, walk.routeId);
    if (!gpx) throw Problem.notFound('This walk has no route file.');
    const name = `attachment; filename="walk-${walk.id}.gpx"`;
    reply.type('application/gpx+xml; charset=utf-8').headers({ 'Content-Disposition': name, Vary: 'Accept-Encoding' });
    if (takesGzip(request.headers['accept-encoding'])) return reply.header('Content-Encoding', 'gzip').send(gpx);
    return reply.send(await promisify(gunzip)(gpx));
  }

  function calendarIcs(request: FastifyRequest, reply: FastifyReply) {
    const text = kept.get(request.url, () => {
      const { filter } = filterOf(request);
      const rows = timetable(db.q, filter, now(), MOST_IN_FEED);
      return calendarFile(
        rows.map((row) => walkForCalendar(withStops(row), services)),
        settings().groupName,
      );
    });
    return reply.type('text/calendar; charset=utf-8').send(text);
  }

  function json(request: FastifyRequest, reply: FastifyReply) {
    const text = kept.get(request.url, () => {
      const { filter, plan } = filterOf(request);
      return JSON.stringify(walksJson(timetable(db.q, filter, now(), MOST_IN_FEED), plan, services));
    });
    return reply.type('application/json; charset=utf-8').send(text);
  }

  function feed(request: FastifyRequest, reply: FastifyReply) {
    const text = kept.get(request.url, () => {
      const { filter } = filterOf(request);
      const rows = timetable(db.q, filter, now(), MOST_IN_FEED);
      return request.server.pages.views.render('walks/feed', feedModel(rows, request.url, services));
    });
    return reply.type('application/atom+xml; charset=utf-8').send(text);
  }

  app.get('/', may('anyone'), timetablePage);
  app.get('/feed.atom', may('anyone'), feed);
  app.get('/walks.json', may('anyone'), json);
  app.get('/calendar.ics', may('anyone'), calendarIcs);
  app.get('/walks/:walk', may('anyone'), oneWalk);
  app.get('/walks/:walk(^\\d+).ics', may('anyone'), walkIcs);
  app.get('/walks/:walk/route.gpx', may('anyone'), routeGpx);
}

const DAY_LABELS: Record<string, string> = {
  mon: 'Monday',
  tue: 'Tuesday',
  wed: 'Wednesday',
  thu: 'Thursday',
  fri: 'Friday',
  sat: 'Saturday',
  sun: 'Sunday',
  weekday: 'Monday to Friday',
  weekend: 'Weekend',
};

function laterHref(query: Typed, from: string): string {
  const next = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) if (typeof value === 'string' && value !== '') next.set(name, value);
  next.set('from', from);
  return `/?${next.toString()}`;
}
