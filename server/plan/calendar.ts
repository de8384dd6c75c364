import type { PlanWalk, PlanWeek, SeasonPlan } from '../calc/plan.js';
import { planLength } from '../calc/plan-grid.js';
import { type CalendarDay, calendarFile } from '../notices/calendar.js';
import type { Services } from '../services.js';
import { mailAddress } from '../walks/calendar.js';
import { SLOT_WORDS } from './fits.js';

/**
 * The plan's walks as whole days that take nobody's time; with no plan, an empty calendar. A walk keeps its UID (its week's Monday, its kind of day, its
 * place among the week's weekday walks) whatever its length becomes; what is dropped from the plan is dropped from the feed.
 */
export function planCalendar(plan: SeasonPlan | null, services: Services): string {
  const days = plan ? plan.weeks.flatMap((week) => week.walks.map((walk) => dayOf(plan, week, walk, services))) : [];
  return calendarFile([], `${services.settings().groupName}: season plan`, days);
}

function dayOf({ wish, weeks }: SeasonPlan, week: PlanWeek, walk: PlanWalk, { config, settings }: Services): CalendarDay {
  const { groupName, eventName, planVersion, planChangedAt } = settings();
  const place = week.walks.filter(({ slot }) => slot === walk.slot).indexOf(walk) + 1;
  const walks = `${config.baseUrl}/?week=${week.number}`;
  return {
    uid: `plan-${week.from}-${walk.slot}-${place}@${new URL(config.baseUrl).hostname}`,
    sequence: planVersion,
    stamp: planChangedAt,
    date: walk.date,
    title: `${planLength(walk.metres, wish.units)}: ${SLOT_WORDS[walk.slot]}, week ${week.number} of ${weeks.length}`,
    description: [
      `Season plan${eventName === '' ? '' : ` for ${eventName}`}, week ${week.number} of ${weeks.length}.`,
      ...(walk.slot === 'weekday' ? ['Any day from Monday to Friday will do.'] : []),
      'Skip it or repeat a week whenever you need to.',
      `Walks that suit this week: ${walks}`,
    ].join('\n'),
    url: `${config.baseUrl}/plan`,
    organizer: { name: groupName, email: mailAddress(config.mailFrom) },
  };
}
