import type { FastifyReply, FastifyRequest } from 'fastify';
import { fromMetres } from '../calc/measure.js';
import { addMonths } from '../calc/month.js';
import { waitingWords } from '../joining/review-model.js';
import { type ComingWalk, comingWalksOf } from '../leaders/walk-store.js';
import { queueAge } from '../notices/store.js';
import { askedForNeeds } from '../proposals/beside.js';
import type { Services } from '../services.js';
import { shownDate } from '../walks/shown-date.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { boardHref, WINDOWS } from './asked.js';
import { type Board, boardOf, coverageSince, filtered } from './board.js';
import { tableModel } from './board-model.js';
import { changesSince } from './changes.js';
import { coverageCsv } from './csv.js';
import { proposalsFrom } from './needs.js';
import { openCell, openModel } from './open-model.js';
import { pressingModel } from './pressing-model.js';
import { changesModel, markOf, walksNamed } from './seen-model.js';
import { namedWalks, walkersLately } from './store.js';
import { byUrgency } from './urgency.js';
import { markSeen, seenBy } from './visits-store.js';

/** The coverage board: where walks will be missing, by area and month; what changed, and what is most pressing. */
export function boardPages(services: Services) {
  const { db, settings, now } = services;

  function board(request: FastifyRequest, reply: FastifyReply) {
    const made = boardOf(services, request);
    const { asked, gaps } = made;
    const walkers = walkersLately(db.q, made.today);
    const leads = request.visitor.person?.leader === true;
    const askedOf = askedForNeeds(db.q, made.shown, asked.months);
    return page(request, reply, 'coordinate/board', {
      title: 'Coverage',
      ...tableModel(made.shown, asked, walkers, { now: made.now, settings: settings() }),
      ...filterModel(made),
      ...besideTable(made, request, askedOf),
      pressing: pressingModel(byUrgency(filtered(made), walkers), {
        walkers,
        settings: settings(),
        leads,
        asked: askedOf.words,
        waiting: askedOf.waiting,
      }),
      asksWaiting: askedOf.waiting.size,
      leaderless: leaderlessModel(),
      unplanned: made.terms.plan === null,
      propose: proposalsFrom(asked),
      mark: markOf(gaps.map(({ need }) => need.id)),
      outdated: line(request.query as Typed, 'outdated') !== '',
      mail: queueAge(db.q, now()),
      applicationsWaiting: waitingWords(db.q),
    });
  }

  /** The open cell, and what changed; the walks that they name are looked up together. */
  function besideTable(made: Board, request: FastifyRequest, askedOf: ReturnType<typeof askedForNeeds>) {
    const { asked, terms, zone, shown, gaps } = made;
    const cell = openCell(shown, asked);
    const seen = seenBy(db.q, personIn(request));
    const since = seen && coverageSince(db.q, made, seen.seenAt);
    const changes = seen && since && changesSince(seen, since.coverage, gaps, since.from);
    const walks = cell ? [...cell.covered.flatMap(({ walk }) => walk ?? []), ...cell.spare].map(({ id }) => id) : [];
    const named = namedWalks(db.q, [...walks, ...(changes ? walksNamed(changes) : [])]);
    const leads = request.visitor.person?.leader === true;
    return {
      open:
        cell &&
        asked.open &&
        openModel(cell, asked.open.month, asked, { ...terms, named, leads, asked: askedOf.words, waiting: askedOf.waiting }),
      close: boardHref(asked, settings().units),
      changes: seen && changes && changesModel(seen, changes, { settings: settings(), zone, named }),
    };
  }

  function filterModel({ asked, now: month }: Board) {
    const { units } = settings();
    const at = (from: string) => boardHref(asked, units, { from });
    const first = asked.months[0] ?? month;
    const length = (metres: number | null) => (metres === null ? '' : String(Math.round(fromMetres(metres, units) * 100) / 100));
    return {
      filter: {
        from: asked.isUsual ? '' : first,
        min: length(asked.minMetres),
        max: length(asked.maxMetres),
        windows: WINDOWS.toSorted((a, b) => a - b).map((value) => ({
          value,
          label: `${value} months`,
          selected: value === asked.months.length,
        })),
        unit: units === 'mi' ? 'miles' : 'km',
        faults: Object.values(asked.faults),
        isOn: asked.minMetres !== null || asked.maxMetres !== null,
      },
      earlier: at(addMonths(first, -asked.months.length)),
      later: at(addMonths(first, asked.months.length)),
      usual: asked.isUsual ? null : at(''),
      csv: boardHref(asked, units).replace('/coordinate', '/coordinate/coverage.csv'),
    };
  }

  /** Walks whose leader is gone; null where there are none. Several are named in one line, the soonest first, so that the board stays in sight. */
  function leaderlessModel() {
    const walks = comingWalksOf(db.q, 'stood down', now()).map(leaderless);
    const [first] = walks;
    if (!first) return null;
    const many = walks.length > 1;
    return { walks, many, heading: `Walks without a leader: ${walks.length}, ${many ? 'the next ' : ''}on ${first.date}` };
  }

  function leaderless(walk: ComingWalk) {
    return { ...walk, href: `/lead/walks/${walk.id}/together`, date: shownDate(walk.gatherAt, walk.zone, settings(), now()) };
  }

  /** A form from a board that has changed since marks nothing: what was not seen must not pass as seen. */
  function seen(request: FastifyRequest, reply: FastifyReply) {
    const { gaps, untilMonth } = boardOf(services, request);
    const ids = gaps.map(({ need }) => need.id);
    if (line(request.body as Typed, 'mark') !== markOf(ids)) return reply.redirect('/coordinate?outdated=1', 303);
    db.write((tx) => markSeen(tx, personIn(request), { seenAt: now(), untilMonth, gaps: ids }));
    return reply.redirect('/coordinate#since', 303);
  }

  function csv(request: FastifyRequest, reply: FastifyReply) {
    const made = boardOf(services, request);
    reply.header('Content-Disposition', 'attachment; filename="coverage.csv"').header('Cache-Control', 'no-store');
    return reply.type('text/csv; charset=utf-8').send(coverageCsv(made.shown, made.asked, settings(), services.config.baseUrl));
  }

  return { board, seen, csv };
}

function personIn(request: FastifyRequest): number {
  const { person } = request.visitor;
  if (!person) throw Problem.forbidden('Sign in first.');
  return person.id;
}
