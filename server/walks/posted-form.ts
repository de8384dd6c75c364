import type { FastifyRequest } from 'fastify';
import { climbToMetres, toMetres, type Units } from '../calc/measure.js';
import type { RouteReader } from '../gpx/reader.js';
import { addRoute, mayUse, routeById, type StoredRoute } from '../gpx/store.js';
import type { Services } from '../services.js';
import { withNotes } from '../standing/rules.js';
import { notesOf } from '../standing/store.js';
import { type Faults, figure, line, type Typed, ticked } from '../web/forms.js';
import { MOST_FILE_BYTES } from '../web/multipart.js';
import { routeClimb, routeLength, TEXT_LIMITS } from './form.js';
import { signedIn } from './led-request.js';

/** A walk form as it came, its file read and kept. */
export interface PostedForm {
  /** `route` names the route the form carries, so that a refused form need not bring the file again. */
  typed: Typed;
  route: StoredRoute | null;
  /** What is wrong with the file, or with a standing note that does not fit, by field. */
  faults: Faults;
}

const TOO_LARGE = `This file is larger than ${MOST_FILE_BYTES / 1024 / 1024} MB. Export the route with fewer points, or only this one route.`;
const GONE = 'The route is not kept any more. Choose the file again.';

/**
 * Takes in a posted walk form. A file is read off the event loop and kept at once, whatever becomes of the form; standing notes that are
 * ticked are put in.
 * @param own the route the walk has already: whoever may edit the walk may keep it
 */
export function walkFormReader(services: Services, reader: RouteReader) {
  const { db, now } = services;

  async function keep(request: FastifyRequest, pieces: Buffer[] | null): Promise<{ id: number } | { fault: string }> {
    if (pieces === null) return { fault: TOO_LARGE };
    const read = await reader.read(pieces);
    if ('fault' in read) return read;
    return { id: db.write((tx) => addRoute(tx, read.route, { by: signedIn(request), now: now() })) };
  }

  return async function readForm(request: FastifyRequest, own: number | null): Promise<PostedForm> {
    const { gpx: _, ...sent } = request.body as Typed;
    const { typed, faults } = withNotes(sent, notesOf(db.q, signedIn(request)), TEXT_LIMITS);
    const before = line(typed, 'route');
    if (ticked(typed, 'dropRoute')) typed.route = '';
    if (request.upload?.field === 'gpx') {
      const kept = await keep(request, request.upload.pieces);
      if ('fault' in kept) faults.gpx = kept.fault;
      else Object.assign(typed, withoutFiguresOf(carried(before, own, signedIn(request)), typed), { route: String(kept.id) });
    }
    const route = carried(line(typed, 'route'), own, signedIn(request));
    if (route === undefined) faults.gpx ??= GONE;
    return { typed: { ...typed, route: route ? String(route.id) : '', dropRoute: '' }, route: route ?? null, faults };
  };

  /** Length and climb that were the route's own, emptied, so that they follow the route that takes its place. */
  function withoutFiguresOf(route: StoredRoute | null | undefined, typed: Typed): Typed {
    if (!route) return {};
    const { units } = services.settings();
    const isOwn = (field: string, metres: number, read: (figure: number, units: Units) => number) =>
      metres > 0 && read(figure(line(typed, field)) ?? Number.NaN, units) === metres;
    return {
      ...(isOwn('distance', routeLength(route, units), toMetres) ? { distance: '' } : {}),
      ...(isOwn('ascent', routeClimb(route, units), climbToMetres) ? { ascent: '' } : {}),
    };
  }

  /** The route a form names: null where it names none, undefined where it is gone or not for this person. */
  function carried(named: string, own: number | null, personId: number): StoredRoute | null | undefined {
    if (named === '') return null;
    const id = Number(named);
    if (!Number.isSafeInteger(id) || (id !== own && !mayUse(db.q, id, personId))) return undefined;
    return routeById(db.q, id);
  }
}
