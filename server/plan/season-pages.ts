import type { FastifyReply, FastifyRequest } from 'fastify';
import { WISH_BOUNDS } from '../calc/plan.js';
import { wallOf } from '../calc/zone.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { seasonKept } from '../settings/season.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { dateWords, monthDay } from '../web/when.js';
import { planChart } from './chart.js';
import { isOpenedAt, readSeason, SEASON_LABELS, type SeasonSettings, seenSeason, typedSeason } from './season-form.js';
import { type Season, saveSeason, seasonInForce, weeksOfOtherDays } from './store.js';
import { weekRows } from './week-rows.js';
import { startWords } from './words.js';

/** Offered first: what most groups take. */
const USUAL_WEEKS = [16, 24];

/** The page on which coordinators say what the group trains for, and see the plan that comes of it. */
export function seasonPages(services: Services) {
  const { db, now, settings } = services;

  function form(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults, meanwhile = false) {
    const refused = Object.keys(faults).length > 0 || meanwhile;
    const current = settings();
    const standing = typedSeason(current);
    const shown = (field: string) => (typed[field] === undefined ? standing[field] : line(typed, field)) ?? '';
    const { saved, week } = request.query as { saved?: unknown; week?: unknown };
    const season = seasonInForce(db.q, current);
    return page(request, refused ? reply.code(422) : reply, 'plan/season', {
      title: 'Season',
      errorTitle: refused,
      meanwhile: meanwhile
        ? Object.entries(standing).map(([field, value]) => ({ label: SEASON_LABELS[field], value: value || 'empty' }))
        : null,
      saved: saved !== undefined && !refused,
      savedWeek: typeof week === 'string' && !refused ? weekNumber(season, week) : null,
      form: Object.fromEntries(Object.keys(standing).map((field) => [field, shown(field)])),
      seen: seenSeason(current),
      weeks: weekChoices(shown('seasonWeeks')),
      weekdayWalks: countsOf(WISH_BOUNDS.weekdayWalks).map((count) => choice(count, shown('weekdayWalks'), String(count))),
      units: current.units === 'mi' ? 'miles' : 'kilometres',
      bounds: WISH_BOUNDS.day[current.units],
      faults,
      errors: summary(faults, (field) => SEASON_LABELS[field] ?? ''),
      ...seasonModel(season),
    });
  }

  /** What comes of the settings: the plan, and what a coordinator should think about in it. */
  function seasonModel(season: Season | null) {
    if (!season) return { plan: null };
    const current = settings();
    const { plan, findings, setByHand, leftOut } = season;
    const today = wallOf(now(), homeZone(services)).date;
    const others = weeksOfOtherDays(db.q, current.eventDay, today);
    return {
      plan: {
        start: startWords(plan),
        rows: weekRows(plan, current, today).map((row) => ({
          ...row,
          byHand: setByHand.includes(row.monday),
          findings: findings.filter((finding) => finding.week === row.number).map(({ words }) => words),
        })),
        findings: findings.length,
        leftOut: leftOut.map((monday) => dateWords(monday, current.locale)).join('; '),
        others: others === 0 ? '' : `${others === 1 ? 'One week' : `${others} weeks`} set by hand for another first day of the event`,
        eventDay: monthDay(current.eventDay, current.locale),
      },
      chart: planChart(plan, current),
    };
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    return form(request, reply, {}, {});
  }

  /** Looked over and written in one transaction: of two coordinators who save at once the second is told of the first. */
  function save(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const by = { personId: signedIn(request), now: now() };
    const outcome = db.write((tx) => {
      const current = settings();
      const read = readSeason(typed, current);
      if ('faults' in read) return read.faults;
      if (Object.entries(read.season).every(([field, value]) => current[field as keyof SeasonSettings] === value)) return 'saved';
      if (!isOpenedAt(typed, seenSeason(current))) return 'meanwhile';
      saveSeason(tx, { ...read.season, ...seasonKept(current, { ...current, ...read.season }, by.now) }, by);
      return 'saved';
    });
    if (outcome === 'saved') return reply.redirect('/coordinate/season?saved=1', 303);
    return outcome === 'meanwhile' ? form(request, reply, typed, {}, true) : form(request, reply, typed, outcome);
  }

  return { show, save };
}

/** Who is signed in on a route that declares that someone is. */
export function signedIn({ visitor }: FastifyRequest): number {
  if (!visitor.person) throw Problem.forbidden('This page is for coordinators.');
  return visitor.person.id;
}

function weekNumber(season: Season | null, monday: string): number | null {
  return season?.plan.weeks.find(({ from }) => from === monday)?.number ?? null;
}

function weekChoices(chosen: string) {
  const others = countsOf(WISH_BOUNDS.weeks).filter((count) => !USUAL_WEEKS.includes(count));
  return [
    ...USUAL_WEEKS.map((count) => choice(count, chosen, `${count} weeks (usual)`)),
    ...others.map((count) => choice(count, chosen, `${count} weeks`)),
  ];
}

function choice(count: number, chosen: string, label: string) {
  return { value: String(count), label, selected: chosen === String(count) };
}

function countsOf({ least, most }: { least: number; most: number }): number[] {
  return Array.from({ length: most - least + 1 }, (_, index) => least + index);
}
