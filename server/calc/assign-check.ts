import type { AssignInput, AssignLeader, Gap } from './assign.js';
import { slotOf, weekdayOf } from './assign-days.js';
import { aheadOf, grouped, type Level, lengthCost, type Pair, wayCost } from './assign-model.js';
import { distance } from './geodesy.js';

export interface Checked {
  /** What breaks a rule, for the log; none in a proposal. */
  faults: string[];
  /** What the pairs come to on each level, from the rules' own words and not from the programme. */
  objective: Record<Level, number>;
}

interface Held {
  leader: AssignLeader;
  gap: Gap;
  date: string;
  metresAway: number;
}

/** Goes over pairs anew: every rule, one by one, and what they come to. It knows nothing of the programme that found them. */
export function checkAssignment(input: AssignInput, pairs: readonly Pair[]): Checked {
  const leaders = new Map(input.leaders.map((leader) => [leader.id, leader]));
  const gaps = new Map(input.gaps.map((gap) => [gap.id, gap]));
  const faults: string[] = [];
  const held = pairs.flatMap(({ leaderId, gapId, date }): Held[] => {
    const [leader, gap] = [leaders.get(leaderId), gaps.get(gapId)];
    if (leader && gap) return [{ leader, gap, date, metresAway: Math.round(distance(leader.lat, leader.lon, gap.lat, gap.lon)) }];
    faults.push(`leader ${leaderId} or gap ${gapId} is unknown`);
    return [];
  });
  for (const one of held) {
    for (const what of pairFaults(one, input)) faults.push(`leader ${one.leader.id}, gap ${one.gap.id}, ${one.date}: ${what}`);
  }
  for (const same of grouped(held, ({ gap }) => gap)) if (same.length > 1) faults.push(`gap ${same[0]?.gap.id} has ${same.length} leaders`);
  for (const theirs of grouped(held, ({ leader }) => leader)) {
    for (const what of leaderFaults(theirs, input)) faults.push(`leader ${theirs[0]?.leader.id}: ${what}`);
  }
  return { faults, objective: objectiveOf(input, held) };
}

function pairFaults({ leader, gap, date, metresAway }: Held, { rules }: AssignInput): string[] {
  const isWeekend = weekdayOf(date) > 5;
  const weekend = slotOf(date, true);
  const broken: [boolean, string][] = [
    [leader.homeAreaId !== gap.areaId && !leader.areaIds.includes(gap.areaId), 'does not go there'],
    [rules.farthestMetres !== null && metresAway > rules.farthestMetres, 'too far'],
    [leader.shortestMetres !== null && gap.metres !== null && gap.metres < leader.shortestMetres, 'too short'],
    [leader.longestMetres !== null && gap.metres !== null && gap.metres > leader.longestMetres, 'too long'],
    [leader.notFor?.includes(gap.id) === true, 'said no to it'],
    [!gap.dates.includes(date), 'not a date of the gap'],
    [!leader.days.includes(weekdayOf(date)), 'not a day of the leader'],
    [leader.busyDates.includes(date), 'leads already that day'],
    [
      rules.oneAWeekend && isWeekend && leader.busyDates.some((busy) => weekdayOf(busy) > 5 && slotOf(busy, true) === weekend),
      'leads already that weekend',
    ],
    [leader.months[date.slice(0, 7)] === undefined, 'a month nobody may ask for'],
  ];
  return broken.flatMap(([isBroken, what]) => (isBroken ? [what] : []));
}

function leaderFaults(theirs: Held[], { rules }: AssignInput): string[] {
  const faults: string[] = [];
  for (const same of grouped(theirs, ({ date }) => date)) if (same.length > 1) faults.push(`${same.length} walks on ${same[0]?.date}`);
  const weekends = theirs.filter(({ date }) => weekdayOf(date) > 5);
  for (const same of grouped(weekends, ({ date }) => slotOf(date, true))) {
    if (rules.oneAWeekend && same.length > 1) faults.push(`${same.length} walks on the weekend of ${same[0]?.date}`);
  }
  for (const same of grouped(theirs, ({ date }) => date.slice(0, 7))) {
    const month = same[0]?.date.slice(0, 7) ?? '';
    const left = same[0]?.leader.months[month]?.left ?? 0;
    if (same.length > left + rules.overPledge) faults.push(`${same.length} walks in ${month}, ${left} left`);
  }
  return faults;
}

function objectiveOf(input: AssignInput, held: Held[]): Record<Level, number> {
  const filled = new Set(held.map(({ gap }) => gap));
  const byMonth = grouped(held, ({ leader, date }) => `${leader.id} ${date.slice(0, 7)}`);
  return {
    missed: sum(input.gaps.map((gap) => (filled.has(gap) ? 0 : gap.weight))),
    pledges: sum(byMonth.map((same) => same.length ** 2 - 2 * same.length * leftOf(same))),
    season: sum(
      grouped(held, ({ leader }) => leader).map((same) => same.length ** 2 + 2 * same.length * (same[0] ? aheadOf(same[0].leader) : 0)),
    ),
    way: sum(held.map(({ metresAway }) => wayCost(metresAway))),
    length: sum(held.map(({ leader, gap }) => lengthCost(leader, gap))),
  };
}

function leftOf([first]: Held[]): number {
  return first?.leader.months[first.date.slice(0, 7)]?.left ?? 0;
}

function sum(numbers: number[]): number {
  return numbers.reduce((total, one) => total + one, 0);
}
