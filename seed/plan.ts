import { addDays, addMonths, monthsFrom } from '../server/calc/month.js';
import { wallOf } from '../server/calc/zone.js';
import { type DemoArea, HABITS, LANTERN_HILLS, QUARRY_LAKES } from './areas.js';
import { at } from './chance.js';
import { clock, datesBetween, dayOfWeek, minutes, weekNumber } from './days.js';
import { ROUTES, type Route } from './routes.js';
import type { WallTimes } from './walk-facts.js';
import { withWholeDay } from './whole-day.js';

/** A walk on the region's plan, not yet led by anyone. */
export interface Planned extends WallTimes {
  area: DemoArea;
  route: Route;
}

/** The months that the demo lays: five whole ones behind, this one, two to come. */
export interface Span {
  today: string;
  months: string[];
}

const MONTHS_BEHIND = 5;
const MONTHS_IN_ALL = 8;

export function spanAround(now: number): Span {
  const today = wallOf(now, LANTERN_HILLS.zone).date;
  return { today, months: monthsFrom(addMonths(today.slice(0, 7), -MONTHS_BEHIND), MONTHS_IN_ALL) };
}

/** What the areas' habits put on each day, soonest first. The last month is empty at Quarry Lakes: nobody has posted there yet. */
export function plannedWalks(span: Span, now: number): Planned[] {
  const first = `${at(span.months, 0)}-01`;
  const last = at(span.months, MONTHS_IN_ALL - 1);
  const toTry = gatherings(span.today, minutes(wallOf(now, LANTERN_HILLS.zone).time));
  const planned = datesBetween(first, `${addMonths(last, 1)}-01`).flatMap((date) => {
    const held = habitsOn(date).filter((walk) => !(walk.area === QUARRY_LAKES && date.startsWith(last)));
    const gather = toTry.get(date);
    return gather === undefined ? held : [...held.filter((walk) => walk.area !== LANTERN_HILLS), parkLaps(date, gather)];
  });
  return withWholeDay(planned, span.today);
}

function habitsOn(date: string): Planned[] {
  const week = weekNumber(date);
  return HABITS.filter((habit) => habit.day === dayOfWeek(date) && week % habit.everyWeeks === 0).map(
    ({ area, kind, gather, setOff, everyWeeks }) => {
      const routes = (ROUTES[area.slug] ?? []).filter((route) => route.kind === kind);
      return { area, route: at(routes, week / everyWeeks), date, gather, setOff };
    },
  );
}

const MINUTES_AHEAD = 150;
const LEAST_MINUTES_AHEAD = 60;
const EARLIEST = minutes('08:30');
const LATEST = minutes('19:30');
const EARLIER_TODAY = minutes('17:30');
const QUARTER = 15;

/** The short, lit walk that {@link LEADER} leads on the day the demo is started. */
function parkLaps(date: string, gather: number): Planned {
  const route = at(
    (ROUTES[LANTERN_HILLS.slug] ?? []).filter((one) => one.name === 'Lantern Park laps'),
    0,
  );
  return { area: LANTERN_HILLS, route, date, gather: clock(gather), setOff: clock(gather + QUARTER) };
}

/** When people gather for it, in minutes after midnight, by date. Where today's is over before long, tomorrow has one, too: its roll is open tonight. */
function gatherings(today: string, now: number): Map<string, number> {
  const days = new Map([[today, gatherToday(now)]]);
  return isLate(now) ? days.set(addDays(today, 1), EARLIEST) : days;
}

const isLate = (now: number) => now + LEAST_MINUTES_AHEAD > LATEST;

/** Two and a half hours from now, by day or in the early evening; late at night, earlier that day. All in minutes after midnight. */
export function gatherToday(now: number): number {
  if (isLate(now)) return EARLIER_TODAY;
  const soon = Math.ceil((now + MINUTES_AHEAD) / QUARTER) * QUARTER;
  return Math.min(LATEST, Math.max(EARLIEST, soon));
}
