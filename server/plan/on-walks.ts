import type { SeasonPlan } from '../calc/plan.js';
import type { GroupSettings } from '../settings/rules.js';
import { monthDay } from '../web/when.js';
import { slotFor, slotWords } from './fits.js';
import { planNow } from './week-words.js';

/** What the timetable says of this week of the plan; null without a plan, and once the season is over. Pure. @param today YYYY-MM-DD */
export function planStrip(plan: SeasonPlan | null, today: string, settings: Pick<GroupSettings, 'locale'>) {
  const here = plan && planNow(plan, today, settings);
  if (!here || here.isOver) return null;
  const next = here.week ? plan.weeks.find(({ number }) => number === (here.week?.number ?? 0) + 1) : plan.weeks[0];
  return {
    heading: here.heading,
    words: here.words,
    week: here.week?.walks.length ? here.week.number : null,
    next: next?.walks.length ? { number: next.number, label: here.week ? "Next week's" : "The first week's walks" } : null,
  };
}

/** The weeks that walks can be asked for: this one and the later ones; none without a plan or after the season. Pure. @param chosen as the address has it */
export function weekOptions(plan: SeasonPlan | null, today: string, { locale }: Pick<GroupSettings, 'locale'>, chosen: string) {
  const isNow = ({ from, to }: { from: string; to: string }) => from <= today && today <= to;
  return (plan?.weeks ?? [])
    .filter(({ to }) => to >= today)
    .map((week) => ({
      value: String(week.number),
      label: `week ${week.number}, ${monthDay(week.from, locale)}${isNow(week) ? ' (this week)' : ''}`,
      selected: chosen === String(week.number) || (chosen === 'this' && isNow(week)),
    }));
}

type FitSettings = Parameters<typeof slotFor>[2];
type FitWalk = Parameters<typeof slotFor>[1];

/** Whether a walk suits the plan in the week that it is now. Pure. */
export function suitsThisWeek(plan: SeasonPlan | null, today: string, walk: FitWalk, settings: FitSettings): boolean {
  const slot = slotFor(plan, walk, settings);
  return slot !== null && slot.week.from <= today && today <= slot.week.to;
}

/** "week 9 of the season plan: the long Saturday (planned 10 mi)"; null where it suits none. Pure. */
export function suitsWords(plan: SeasonPlan | null, walk: FitWalk, settings: FitSettings): string | null {
  const slot = slotFor(plan, walk, settings);
  return plan && slot && slotWords(slot, plan);
}

/** The same for other programs: lengths in metres. */
export function suitsFields(plan: SeasonPlan | null, walk: FitWalk, settings: FitSettings) {
  const slot = slotFor(plan, walk, settings);
  return slot ? { plan: { week: slot.week.number, walk: slot.walk.slot, plannedMetres: Math.round(slot.walk.metres) } } : {};
}
