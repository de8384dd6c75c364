import type { FastifyReply, FastifyRequest } from 'fastify';
import { noticeCounts } from '../leaders/walk-store.js';
import { DAY_MS } from '../notices/due.js';
import { refreshReminders } from '../notices/owe.js';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { fullWhen, when } from '../web/when.js';
import { readForecast, typedForecast, UNIT_WORDS } from './form.js';
import { FRESH_MS } from './model.js';
import type { Forecast } from './rules.js';
import { forecastOf, forgetForecast, saveForecast } from './store.js';

const FIELD_NAMES: Record<string, string> = { temperature: 'Temperature', humidity: 'Humidity', wind: 'Wind' };

/** The day's forecast, typed in by a leader. */
export function weatherPages(services: Services) {
  const { db, settings, now } = services;

  function weatherForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    forecastable(walk);
    const known = forecastOf(db.q, walk.id, walk.wallDate);
    return show(request, reply, walk, known ? typedForecast(known, settings().units) : {}, {});
  }

  /** @throws Problem where a forecast for this walk is of no use */
  function forecastable(walk: WalkRow): void {
    const links = [{ href: `/lead/walks/${walk.id}`, label: 'Back to the walk' }];
    const refuse = (heading: string, sentence: string) => new Problem(409, { heading, sentence, links });
    if (walk.state === 'draft') throw refuse('This walk is not posted yet', 'Post it first; then type in the forecast for its day.');
    if (walk.state === 'cancelled') throw refuse('This walk is cancelled', 'It needs no forecast.');
    if (walk.state !== 'posted' || walk.gatherAt <= now())
      throw refuse('This walk has begun or is over', 'A forecast would come too late for it.');
  }

  function show(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const reminderAt = walk.gatherAt - DAY_MS;
    return page(request, refused ? reply.code(422) : reply, 'lead/weather', {
      title: `The weather for the ${walkTitle(walk, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id, date: walk.wallDate },
      units: UNIT_WORDS[settings().units],
      form: { temperature: line(typed, 'temperature'), humidity: line(typed, 'humidity'), wind: line(typed, 'wind') },
      known: forecastOf(db.q, walk.id, walk.wallDate) !== undefined,
      isEarly: walk.gatherAt - now() > FRESH_MS,
      reminderAt: reminderAt > now() ? when(reminderAt, walk.zone, settings()) : null,
      reminded: noticeCounts(db.q, walk.id).some((count) => count.kind === 'reminder' && ['sent', 'kept'].includes(count.state)),
      faults,
      errors: summary(faults, (field) => FIELD_NAMES[field] ?? ''),
    });
  }

  function postWeather(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    forecastable(walk);
    const typed = request.body as Typed;
    if (line(typed, 'intent') === 'remove') {
      keep(walk.id, null, signedIn(request));
      return reply.redirect(`/lead/walks/${walk.id}?saved=1`, 303);
    }
    const read = readForecast(typed, settings().units);
    const faults = { ...(movedSince(walk, typed) ?? {}), ...('faults' in read ? read.faults : {}) };
    if ('faults' in read || Object.keys(faults).length > 0) return show(request, reply, walk, typed, faults);
    keep(walk.id, read.forecast, signedIn(request));
    services.mailOwed();
    return reply.redirect(`/lead/walks/${walk.id}?saved=1`, 303);
  }

  /** A form opened before the walk moved is about another day. */
  function movedSince(walk: WalkRow, typed: Typed): Faults | null {
    const date = line(typed, 'date');
    if (date === '' || date === walk.wallDate) return null;
    return { temperature: `The walk moved to ${fullWhen(walk.gatherAt, walk.zone, settings())}. Type the forecast for that day.` };
  }

  /** Reminders that have not gone out are brought up to date in the same transaction. */
  function keep(walkId: number, forecast: Forecast | null, by: number): void {
    db.write((tx) => {
      const walk = walkById(tx, walkId);
      if (!walk) throw new Error(`walk ${walkId} is missing`);
      if (forecast) saveForecast(tx, walk, forecast, { by, now: now() });
      else forgetForecast(tx, walkId);
      refreshReminders(tx, oweContext(services), walkId);
    });
  }

  return { weatherForm, postWeather };
}
