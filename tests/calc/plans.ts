import fc from 'fast-check';
import { METRES_PER_MILE, toMetres, type Units } from '../../server/calc/measure.js';
import { addDays } from '../../server/calc/month.js';
import { type PlanWalk, type PlanWeek, type SeasonPlan, type SeasonWish, WISH_BOUNDS } from '../../server/calc/plan.js';

export const miles = (count: number) => count * METRES_PER_MILE;

/** Two days of 22 miles from Saturday 12 June 2027, sixteen weeks, two weekday walks. */
export function wish(changed: Partial<SeasonWish> = {}): SeasonWish {
  return { eventDay: '2027-06-12', eventDays: 2, dayMetres: miles(22), weeks: 16, weekdayWalks: 2, units: 'mi', ...changed };
}

const within = ({ least, most }: { least: number; most: number }) => fc.integer({ min: least, max: most });

/** Any wish that is within the bounds: whole and half lengths, kept in whole metres; any day of four years, one of them a leap year. */
export const anyWish: fc.Arbitrary<SeasonWish> = fc.constantFrom<Units>('mi', 'km').chain((units) =>
  fc.record({
    eventDay: fc.integer({ min: 0, max: 1460 }).map((days) => addDays('2027-01-01', days)),
    eventDays: fc.integer({ min: 1, max: 6 }),
    dayMetres: fc
      .integer({ min: WISH_BOUNDS.day[units].least * 2, max: WISH_BOUNDS.day[units].most * 2 })
      .map((halves) => toMetres(halves / 2, units)),
    weeks: within(WISH_BOUNDS.weeks),
    weekdayWalks: within(WISH_BOUNDS.weekdayWalks),
    units: fc.constant(units),
  }),
);

/** All walks in the order of their dates. */
export function walksOf(plan: SeasonPlan): PlanWalk[] {
  return plan.weeks.flatMap(({ walks }) => walks).sort((one, other) => (one.date < other.date ? -1 : 1));
}

/** Quarter miles or half kilometres, checked to be whole. */
export function stepsIn(metres: number, units: Units): number {
  const steps = metres / (units === 'mi' ? METRES_PER_MILE / 4 : 500);
  if (Math.abs(steps - Math.round(steps)) > 1e-6) throw new Error(`${metres} m is no round length`);
  return Math.round(steps);
}

/** Miles, without what floating point leaves behind. */
function figure(metres: number): string {
  return String(Math.round((metres / METRES_PER_MILE) * 1e6) / 1e6);
}

/** "1 build: 3 + 3, 9.5, - = 15.5": weekdays, Saturday, Sunday, in miles. */
export function row({ number, kind, walks, metres }: PlanWeek): string {
  const of = (slot: string) => walks.filter((walk) => walk.slot === slot).map((walk) => figure(walk.metres));
  const parts = (['weekday', 'saturday', 'sunday'] as const).map((slot) => of(slot).join(' + ') || '-');
  return `${number} ${kind}: ${parts.join(', ')} = ${figure(metres)}`;
}
