import type { FastifyReply, FastifyRequest } from 'fastify';
import { parseOffset, wallOf } from '../calc/zone.js';
import { agreementLine } from '../joining/lead-lines.js';
import { mayPost } from '../joining/posting.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, several, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { type DatesForm, datesForm, MOST_DATES, readDates } from './dates.js';
import { makeSeries, mayBe } from './make.js';
import { firstTicks, rowsModel } from './model.js';
import { type Asked, type DateRow, dateRows, rowsMark } from './rows.js';
import { type ShortDates, shortDates } from './short-dates.js';

const BLANK: DatesForm = { every: '1', ends: 'count', count: '4', until: '', dates: '' };
const LABELS: Record<string, string> = { every: 'How often', ends: 'Until when', count: 'How many', until: 'Last date', dates: 'Dates' };

/** Leading a walk again on several dates: first which, then what each would be, then all of them at once. */
export function repeatPages(services: Services) {
  const { db, now, settings } = services;

  function form(request: FastifyRequest, reply: FastifyReply) {
    return showDates(request, reply, BLANK, {});
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const walk = leadersWalk(request);
    const typed = request.body as Typed;
    const intent = line(typed, 'intent');
    const dates = datesForm(typed);
    if (intent === 'change') return showDates(request, reply, dates, {});
    const read = readDates(dates, walk.wallDate, shortOn(walk));
    if ('faults' in read) return showDates(request, reply, dates, read.faults);
    const asked = { dates: read.dates, hours: hoursOf(typed), leaderId: signedIn(request) };
    if (intent === 'make') return make(request, reply, dates, asked);
    const rows = dateRows(services, walk, asked);
    const ticked = several(typed, 'make');
    return showRows(request, reply, dates, rows, { chosen: ticked.length > 0 ? ticked : firstTicks(rows), as: asOf(request) });
  }

  function make(request: FastifyRequest, reply: FastifyReply, dates: DatesForm, asked: Asked) {
    const walk = leadersWalk(request);
    const typed = request.body as Typed;
    const chosen = [...new Set(several(typed, 'make'))].filter((date) => asked.dates.includes(date));
    const as = asOf(request);
    const seen = line(typed, 'seen');
    const rows = dateRows(services, walk, asked);
    const known = rowsMark(walk, rows) === seen;
    const held = known ? chosen.filter((date) => !mayBe(rowOn(rows, date), as)) : [];
    const faults = chosen.length === 0 ? { make: 'Tick at least one date.' } : heldFaults(rows, held);
    if (Object.keys(faults).length > 0) return showRows(request, reply, dates, rows, { chosen, as, faults });
    const outcome = makeSeries(services, { walkId: walk.id, asked, chosen, as, seen });
    if (outcome === 'made') return reply.redirect(`/lead/walks/${walk.id}#series`, 303);
    const found = dateRows(services, walk, asked);
    const still = chosen.filter((date) => mayBe(rowOn(found, date), as));
    return showRows(request, reply, dates, found, { chosen: still, as, isNew: true });
  }

  function showDates(request: FastifyRequest, reply: FastifyReply, dates: DatesForm, faults: Faults) {
    const walk = leadersWalk(request);
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'repeats/dates', {
      ...frame(walk),
      errorTitle: refused,
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
      form: dates,
      every: { w1: dates.every === '1', w2: dates.every === '2', w4: dates.every === '4', dates: dates.every === 'dates' },
      ends: { count: dates.ends === 'count', until: dates.ends === 'until' },
      datesHint: `One a line, such as ${shortOn(walk).example} or 2026-12-19; ${MOST_DATES} at most.`,
    });
  }

  interface Shown {
    chosen: string[];
    as: 'draft' | 'posted';
    faults?: Faults;
    /** Something stands in the way that did not when the leader looked. */
    isNew?: boolean;
  }

  function showRows(request: FastifyRequest, reply: FastifyReply, dates: DatesForm, rows: DateRow[], shown: Shown) {
    const walk = leadersWalk(request);
    const { chosen, as, faults = {}, isNew = false } = shown;
    const refused = Object.keys(faults).length > 0 || isNew;
    const byDate = new Map(Object.entries(faults).map(([field, text]) => [field.slice('make-'.length), text]));
    return page(request, refused ? reply.code(422) : reply, 'repeats/rows', {
      ...frame(walk),
      narrow: false,
      errorTitle: refused,
      errors: summary(faults),
      fault: faults.make,
      isNew,
      seen: rowsMark(walk, rows),
      form: dates,
      as: { draft: as === 'draft', posted: as === 'posted' },
      ...agreementLine(services, signedInPerson(request)),
      ...rowsModel(rows, { dates: chosen, as, faults: byDate }, walk.zone, settings()),
    });
  }

  function frame(walk: WalkRow) {
    return {
      title: `A series of the ${walkTitle(walk, settings().units)}`,
      walkName: walkTitle(walk, settings().units),
      narrow: true,
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id },
    };
  }

  function shortOn(walk: WalkRow): ShortDates {
    return shortDates(settings().locale, wallOf(now(), walk.zone).date);
  }

  /** Drafts, where posting is closed to whoever asks. */
  function asOf(request: FastifyRequest): 'draft' | 'posted' {
    const wants = line(request.body as Typed, 'as') === 'posted';
    return wants && mayPost(db.q, signedIn(request), now()) ? 'posted' : 'draft';
  }

  return { form, post };
}

/** A date that was refused says what is in its way beside its tick. */
function heldFaults(rows: DateRow[], held: string[]): Faults {
  const why = (row: DateRow) =>
    row.blocked || `Something is to mend first: "${row.open[0]?.title ?? ''}". Make it as a draft, or untick it.`;
  return Object.fromEntries(held.map((date) => [`make-${date}`, why(rowOn(rows, date))]));
}

function rowOn(rows: DateRow[], date: string): DateRow {
  const row = rows.find((one) => one.date === date);
  if (!row) throw new Error('a date was chosen that was not asked for');
  return row;
}

/** Which of two hours is meant, by date (`hour[2026-11-01]`: "-04:00"). */
function hoursOf(typed: Typed): Map<string, number> {
  const given = typed.hour;
  if (typeof given !== 'object' || Array.isArray(given)) return new Map();
  return new Map(
    Object.keys(given).flatMap((date) => {
      const offset = parseOffset(line(given, date));
      return offset === null ? [] : [[date, offset] as const];
    }),
  );
}

/** The walk, where the visitor may lead walks: a coordinator who is no leader can't lead the copies. @throws Problem */
function leadersWalk(request: FastifyRequest): WalkRow {
  if (request.visitor.person?.leader !== true) throw Problem.forbidden('Only a walk leader can lead this walk again.');
  return led(request).walk;
}
