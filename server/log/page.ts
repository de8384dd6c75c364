import type { FastifyReply, FastifyRequest } from 'fastify';
import { fromMetres, lengthFigure, lengthWords, type Units } from '../calc/measure.js';
import type { SeasonPlan } from '../calc/plan.js';
import { wallOf } from '../calc/zone.js';
import { signedInPerson } from '../people/me-person.js';
import { suitsWords } from '../plan/on-walks.js';
import { planInForce } from '../plan/store.js';
import { planNow } from '../plan/week-words.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import type { GroupSettings } from '../settings/rules.js';
import { walkTitle } from '../walks/title.js';
import { page } from '../web/page.js';
import { dateWords, monthWords } from '../web/when.js';
import { logChart } from './chart.js';
import { allowedNext, longestLately, monthsOf, type OwnWalk, ownWalks, partyWalks, planAsksMore } from './rules.js';
import { type LogLine, logOf } from './store.js';

/** Walks shown one by one; all of them are in the JSON of "You". */
const MOST_SHOWN = 40;

const WAY_WORDS: Record<LogLine['outcome'], string> = { full: '', short: 'the short way', left: 'left early', absent: '' };

/** A walker's own log: for nobody else. */
export function logPage(services: Services) {
  const { db, settings, now } = services;
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const person = signedInPerson(request);
    const group = settings();
    const lines = logOf(db.q, person);
    const walks = ownWalks(lines);
    const today = wallOf(now(), homeZone(services)).date;
    const months = monthsOf(walks, today.slice(0, 7));
    const plan = planInForce(db.q, group);
    reply.header('Cache-Control', 'no-store');
    return page(request, reply, 'people/log', {
      title: 'Your log',
      noindex: true,
      ...totals(walks, today, group),
      next: nextModel(walks, plan, today, group),
      plan: planModel(walks, plan, today, group),
      chart: logChart(months, group),
      months: months
        .map((one) => ({
          month: monthWords(one.month, group.locale),
          walks: one.walks,
          length: lengthFigure(one.metres, group.units),
          longest: one.longest === 0 ? '' : lengthFigure(one.longest, group.units),
        }))
        .reverse(),
      unit: group.units === 'mi' ? 'miles' : 'kilometres',
      walks: walks.slice(0, MOST_SHOWN).map((walk) => walkRow(walk, group)),
      earlier: Math.max(0, walks.length - MOST_SHOWN),
      party: partyWalks(lines)
        .slice(0, MOST_SHOWN)
        .map((walk) => ({ name: walk.name, ...walkRow(walk, group) })),
    });
  };
}

function totals(walks: OwnWalk[], today: string, { units }: GroupSettings) {
  const sum = (some: OwnWalk[]) =>
    lengthWords(
      some.reduce((metres, walk) => metres + walk.metres, 0),
      units,
    );
  return {
    count: walks.length,
    length: sum(walks),
    thisYear: sum(walks.filter(({ wallDate }) => wallDate.slice(0, 4) === today.slice(0, 4))),
    year: today.slice(0, 4),
  };
}

/** The longest of the last 30 days, what it allows, and where the plan asks for more than that. */
function nextModel(walks: OwnWalk[], plan: SeasonPlan | null, today: string, { units, locale }: GroupSettings) {
  const longest = longestLately(walks, today);
  const allowed = allowedNext(longest);
  if (!longest || allowed === null) return null;
  const more = planAsksMore(plan, today, allowed);
  return {
    longest: lengthWords(longest.metres, units),
    on: dateWords(longest.wallDate, locale),
    allowed: roundedDown(allowed, units),
    planned: more === null ? null : lengthWords(more, units),
  };
}

/** To a tenth below: a figure that is rounded up would allow more than the rule does. */
function roundedDown(metres: number, units: Units): string {
  return `${(Math.floor(fromMetres(metres, units) * 10 + 1e-6) / 10).toFixed(1)} ${units}`;
}

function planModel(walks: OwnWalk[], plan: SeasonPlan | null, today: string, group: GroupSettings) {
  if (!plan) return null;
  const { week, isOver, heading, words } = planNow(plan, today, group);
  if (isOver) return null;
  const done = walks.filter(({ wallDate }) => week && wallDate >= week.from && wallDate <= week.to);
  return {
    heading,
    words,
    done: done.map((walk) => ({
      length: lengthWords(walk.metres, group.units),
      on: dateWords(walk.wallDate, group.locale),
      suits: suitsWords(plan, { wallDate: walk.wallDate, distanceMetres: walk.metres }, group),
    })),
    walksHref: week?.walks.length ? '/?week=this' : null,
  };
}

function walkRow(walk: LogLine, { units, locale }: GroupSettings) {
  return {
    href: `/walks/${walk.walkId}`,
    title: walkTitle(walk, units),
    date: dateWords(walk.wallDate, locale),
    year: walk.wallDate.slice(0, 4),
    length: lengthWords(walk.metres, units),
    how: [walk.led ? 'you led it' : '', WAY_WORDS[walk.outcome]].filter((part) => part !== '').join(', '),
  };
}
