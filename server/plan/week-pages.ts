import type { FastifyReply, FastifyRequest } from 'fastify';
import type { PlanWeek } from '../calc/plan.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { dateWords } from '../web/when.js';
import { isOpenedAt } from './season-form.js';
import { signedIn } from './season-pages.js';
import { lengthsOf, type Season, seasonInForce, setWeek, type WeekLengths } from './store.js';
import { readWeek, seenWeek, typedWeek, weekFields } from './week-form.js';
import { KIND_WORDS, walksWords } from './week-words.js';

const SEASON_LINK = { href: '/coordinate/season', label: 'See the season' };

/** A week of the season, as it was asked for. */
interface Asked {
  season: Season;
  /** As it is in force, and as it is worked out. */
  week: PlanWeek;
  workedOut: PlanWeek;
}

/** The page on which a coordinator sets the lengths of one week. */
export function weekPages(services: Services) {
  const { db, now, settings } = services;

  function asked(request: FastifyRequest, q: Tx = db.q): Asked {
    const season = seasonInForce(q, settings());
    const { week: monday } = request.params as { week: string };
    const of = (plan: Season['plan'] | undefined) => plan?.weeks.find(({ from }) => from === monday);
    const [week, workedOut] = [of(season?.plan), of(season?.workedOut)];
    if (!season || !week || !workedOut) throw Problem.notFound('The season has no week that begins on this day.', [SEASON_LINK]);
    return { season, week, workedOut };
  }

  interface Refused {
    typed: Typed;
    faults: Faults;
    /** Someone else changed the week since the form was opened. */
    meanwhile?: boolean;
  }

  function form(request: FastifyRequest, reply: FastifyReply, { season, week, workedOut }: Asked, refused?: Refused) {
    const { locale, units, eventDay } = settings();
    const standing = typedWeek(lengthsOf(week), units);
    const { typed = {}, faults = {}, meanwhile = false } = refused ?? {};
    const labels = weekFields(week.from, eventDay);
    return page(request, refused ? reply.code(422) : reply, 'plan/week', {
      title: `Week ${week.number} of the season`,
      errorTitle: refused !== undefined,
      narrow: true,
      action: `/coordinate/season/${week.from}`,
      dates: `${dateWords(week.from, locale)} to ${dateWords(week.to, locale)}`,
      kind: KIND_WORDS[week.kind],
      workedOut: walksWords(workedOut, season.workedOut),
      byHand: season.setByHand.includes(week.from),
      current: walksWords(week, season.plan),
      before: neighbour(season, week.number - 1),
      after: neighbour(season, week.number + 1),
      findings: season.findings.filter((finding) => finding.week === week.number).map(({ words }) => words),
      meanwhile,
      units: units === 'mi' ? 'miles' : 'kilometres',
      seen: seenWeek(lengthsOf(week)),
      fields: labels.map(({ name, label }) => ({
        name,
        label,
        value: typed[name] === undefined ? standing[name] : line(typed, name),
        error: faults[name],
      })),
      isEventWeek: week.kind === 'event',
      errors: summary(faults, (field) => labels.find(({ name }) => name === field)?.label ?? ''),
    });
  }

  function neighbour({ plan }: Season, number: number): string {
    const week = plan.weeks.find((one) => one.number === number);
    return week ? `Week ${number}: ${walksWords(week, plan)}` : '';
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    return form(request, reply, asked(request));
  }

  /** Looked over and written in one transaction: of two coordinators who save at once the second is told of the first. */
  function save(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const by = { personId: signedIn(request), now: now() };
    const found = asked(request);
    const read = wanted(typed, found);
    if ('faults' in read) return form(request, reply, found, { typed, faults: read.faults });
    const kept = db.write((tx) => {
      const { season, week } = asked(request, tx);
      const current = lengthsOf(week);
      const isSame = read.lengths === null ? !season.setByHand.includes(week.from) : seenWeek(read.lengths) === seenWeek(current);
      if (isSame) return true;
      if (!isOpenedAt(typed, seenWeek(current))) return false;
      setWeek(tx, { eventDay: season.plan.wish.eventDay, monday: week.from, lengths: read.lengths }, settings(), by);
      return true;
    });
    if (!kept) return form(request, reply, asked(request), { typed, faults: {}, meanwhile: true });
    return reply.redirect(`/coordinate/season?week=${found.week.from}#weeks`, 303);
  }

  /** The lengths that were typed; null where the week is to be as it is worked out, or is just that. */
  function wanted(typed: Typed, { workedOut }: Asked): { lengths: WeekLengths | null } | { faults: Faults } {
    if (line(typed, 'intent') === 'again') return { lengths: null };
    const read = readWeek(typed, weekFields(workedOut.from, settings().eventDay), settings().units);
    if ('faults' in read) return read;
    return seenWeek(read.lengths) === seenWeek(lengthsOf(workedOut)) ? { lengths: null } : read;
  }

  return { show, save };
}
