import { METRES_PER_MILE } from '../calc/measure.js';
import type { PlanWalk, SeasonPlan } from '../calc/plan.js';
import { planLength } from '../calc/plan-grid.js';

/** A start longer than this, and than half a day of the event, is more than many bring. Common practice, no source. */
const LONG_START = { metres: 5 * METRES_PER_MILE, shareOfDay: 0.5 } as const;

/** What walkers should manage before the first walk; and that it is much, where weeks are few. */
export function startWords({ wish, startMetres }: SeasonPlan): string {
  const start = `Before the first walk, be able to walk ${planLength(startMetres, wish.units)} with ease.`;
  const isLong = startMetres > LONG_START.metres && startMetres > LONG_START.shareOfDay * wish.dayMetres;
  if (!isLong) return start;
  return `${start} That is far: ${wish.weeks} weeks are few for ${planLength(wish.dayMetres, wish.units)} a day. More weeks would start shorter.`;
}

/** "Weeks 4, 8 and 12 are lighter." */
function lighterWords({ weeks }: SeasonPlan): string {
  const numbers = weeks.filter(({ kind }) => kind === 'lighter').map(({ number }) => number);
  const last = numbers.pop();
  if (last === undefined) return '';
  return numbers.length === 0 ? `Week ${last} is lighter.` : `Weeks ${numbers.join(', ')} and ${last} are lighter.`;
}

/** The plan in a few sentences, for whoever does not see the drawing; the figures of each week belong in a table beside it. */
export function planWords(plan: SeasonPlan): string {
  const { weeks, wish, metres } = plan;
  const walks = weeks.flatMap((week) => week.walks.map((walk) => ({ ...walk, week: week.number })));
  const longest = walks.reduce<(PlanWalk & { week: number }) | null>((far, walk) => (far && far.metres > walk.metres ? far : walk), null);
  const most = longest ? [`The longest walk is ${planLength(longest.metres, wish.units)}, in week ${longest.week}.`] : [];
  const tapering = weeks.filter(({ kind }) => kind === 'taper').length;
  const all = `${weeks.length} weeks, ${planLength(metres, wish.units)} in all.`;
  const rest = `After the longest walk's week, ${tapering} weeks have shorter walks; the event is in week ${weeks.length}.`;
  return [all, startWords(plan), lighterWords(plan), ...most, rest].filter((sentence) => sentence !== '').join(' ');
}
