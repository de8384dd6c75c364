import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { fromMetres } from '../calc/measure.js';
import type { Services } from '../services.js';
import { shownDate } from '../walks/shown-date.js';
import { type AreaComing, comingByArea, timetable } from '../walks/timetable.js';
import { timetableDays } from '../walks/timetable-page.js';
import { may } from '../web/access.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { type AreaWish, readArea, shownTolerance, USUAL_WISH, WISH_FIELDS } from './form.js';
import { type AreaRow, addArea, allAreas, areaBySlug, changeArea } from './store.js';

const MOST_ROWS = 40;
const LABELS: Record<string, string> = {
  name: 'Name',
  zone: 'Time zone',
  emergencyNumber: 'Emergency number',
  lat: 'Latitude',
  lon: 'Longitude',
  radius: 'Reaches',
  floor: 'Walks a month',
  weekdayWalks: 'On weekdays',
  saturdayWalks: 'Long Saturdays',
  sundayWalks: 'Sundays after',
  tolerance: 'Length may differ by',
};

export function areaRoutes(app: FastifyInstance, services: Services): void {
  const { db, settings, now } = services;
  const unit = () => (settings().units === 'mi' ? 'miles' : 'km');

  function list(request: FastifyRequest, reply: FastifyReply) {
    const coming = new Map(comingByArea(db.q, now()).map((one) => [one.areaId, one]));
    return page(request, reply, 'areas/list', {
      title: 'Areas',
      areas: allAreas(db.q).map((area) => ({
        href: `/areas/${area.slug}`,
        name: area.name,
        zone: area.zone.replaceAll('_', ' '),
        coming: comingWords(coming.get(area.id)),
      })),
    });
  }

  function comingWords(coming: AreaComing | undefined): string {
    if (!coming) return 'no walk posted';
    const next = shownDate(coming.nextAt, coming.zone, settings(), now());
    return coming.walks === 1 ? `1 coming walk, ${next}` : `${coming.walks} coming walks, the next ${next}`;
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const area = named(request);
    const filter = {
      area: area.slug,
      from: null,
      to: null,
      minMetres: null,
      maxMetres: null,
      days: [],
      surface: null,
      stepFree: false,
      bands: null,
    };
    return page(request, reply, 'areas/page', {
      title: area.name,
      area: {
        ...area,
        zoneName: area.zone.replaceAll('_', ' '),
        reach: `${Math.round(fromMetres(area.radiusMetres, settings().units))} ${unit()}`,
      },
      days: timetableDays(timetable(db.q, filter, now(), MOST_ROWS), settings(), now()),
      calendar: `/calendar.ics?area=${area.slug}`,
    });
  }

  function named(request: FastifyRequest): AreaRow {
    const area = areaBySlug(db.q, (request.params as { area: string }).area);
    if (!area) throw Problem.notFound('There is no area at this address.', [{ href: '/areas', label: 'See the areas' }]);
    return area;
  }

  function form(request: FastifyRequest, reply: FastifyReply, typed: Typed, about: { area: AreaRow | null; faults: Faults }) {
    const { area, faults } = about;
    const refused = Object.keys(faults).length > 0;
    const fields = [...Object.keys(LABELS)];
    return page(request, refused ? reply.code(422) : reply, 'coordinate/areas', {
      title: area ? `Area: ${area.name}` : 'Areas',
      errorTitle: refused,
      narrow: true,
      area,
      action: area ? `/coordinate/areas/${area.slug}` : '/coordinate/areas',
      areas: allAreas(db.q).map((row) => ({
        href: `/coordinate/areas/${row.slug}`,
        name: row.name,
        zone: row.zone.replaceAll('_', ' '),
        floor: row.floorWalks ?? settings().floorWalks,
      })),
      form: {
        ...wishOf(area ?? USUAL_WISH),
        ...Object.fromEntries(fields.filter((one) => one in typed).map((one) => [one, line(typed, one)])),
      },
      distanceUnit: unit(),
      groupFloor: settings().floorWalks,
      groupTolerance: Math.round(settings().slotToleranceShare * 100),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function typedFrom(area: AreaRow): Typed {
    return {
      name: area.name,
      zone: area.zone,
      emergencyNumber: area.emergencyNumber,
      lat: String(area.lat),
      lon: String(area.lon),
      radius: String(Number(fromMetres(area.radiusMetres, settings().units).toFixed(1))),
      floor: area.floorWalks === null ? '' : String(area.floorWalks),
      ...wishOf(area),
    };
  }

  function wishOf(area: AreaWish): Record<string, string> {
    return { ...Object.fromEntries(WISH_FIELDS.map((field) => [field, String(area[field])])), tolerance: shownTolerance(area) };
  }

  function add(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const read = readArea(typed, settings().units);
    if ('faults' in read) return form(request, reply, typed, { area: null, faults: read.faults });
    db.write((tx) => addArea(tx, read.area, now()));
    return reply.redirect('/coordinate/areas', 303);
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const area = named(request);
    const typed = request.body as Typed;
    const read = readArea(typed, settings().units, area);
    if ('faults' in read) return form(request, reply, typed, { area, faults: read.faults });
    db.write((tx) => changeArea(tx, area.id, read.area));
    return reply.redirect('/coordinate/areas', 303);
  }

  app.get('/areas', may('anyone'), list);
  app.get('/areas/:area', may('anyone'), one);
  app.get('/coordinate/areas', may('coordinator'), (request, reply) => form(request, reply, {}, { area: null, faults: {} }));
  app.post('/coordinate/areas', may('coordinator'), add);
  app.get('/coordinate/areas/:area', may('coordinator'), (request, reply) => {
    const area = named(request);
    return form(request, reply, typedFrom(area), { area, faults: {} });
  });
  app.post('/coordinate/areas/:area', may('coordinator'), change);
}
