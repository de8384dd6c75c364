import type { AssignInput, AssignLeader, AssignRules, Gap } from '../calc/assign.js';
import { addDays } from '../calc/month.js';
import { weekdayOf } from '../calc/plan-calendar.js';
import type { LeaderMonth } from '../commitment/rules.js';
import type { UrgentGap } from '../coverage/urgency.js';
import type { GroupSettings } from '../settings/rules.js';
import { type Asked, speaksFor } from './rules.js';
import type { Askable } from './store.js';

const ANY_DAY = [1, 2, 3, 4, 5, 6, 7];

/** What of an area its gaps are placed by: its centre, degrees. */
export interface Centre {
  lat: number;
  lon: number;
}

/** What is known of a leader's months. */
export interface LeaderRecord {
  leader: Askable;
  /** Those that gaps lie in. */
  months: LeaderMonth[];
  /** Those of the season that are over, and this one. */
  soFar: LeaderMonth[];
  /** Dates of walks they lead or share. */
  led: string[];
  /** What they are asked and have not answered, and what they said no to. */
  open: Asked[];
  declined: Asked[];
}

/** The rules of proposals as the group has them. */
export function assignRules({
  overPledge,
  oneAWeekend,
  farthestMetres,
}: Pick<GroupSettings, 'overPledge' | 'oneAWeekend' | 'farthestMetres'>): AssignRules {
  return { overPledge, oneAWeekend, farthestMetres: farthestMetres === 0 ? null : farthestMetres };
}

/** What is solved: gaps, leaders and rules. What a leader is asked already counts as theirs. Pure. */
export function assignInput(
  gaps: UrgentGap[],
  records: LeaderRecord[],
  centres: ReadonlyMap<number, Centre>,
  settings: Pick<GroupSettings, 'overPledge' | 'oneAWeekend' | 'farthestMetres'>,
): AssignInput {
  const wanted = gaps.map((gap) => gapOf(gap, centres.get(gap.area.id) ?? { lat: 0, lon: 0 }));
  return { gaps: wanted, leaders: records.map((record) => leaderOf(record, wanted)), rules: assignRules(settings) };
}

/** A gap of the floor is offered in the week of its day: any of its days would do, but a proposal names one. */
function gapOf({ need, area, date, today, score }: UrgentGap, { lat, lon }: Centre): Gap {
  const monday = addDays(date, -weekdayOf(date));
  const sunday = addDays(monday, 6);
  const dates = need.days.filter((day) => day > today && day >= monday && day <= sunday);
  const metres = need.dayKind === 'any' ? null : Math.round(need.bestMetres);
  return { id: need.id, areaId: area.id, lat, lon, dates, metres, weight: 1 + score };
}

function leaderOf({ leader, months, soFar, led, open, declined }: LeaderRecord, gaps: Gap[]): AssignLeader {
  const asked = (month: string) => open.filter(({ date }) => date.slice(0, 7) === month).length;
  return {
    id: leader.id,
    homeAreaId: leader.areaId,
    areaIds: leader.otherAreas,
    lat: leader.lat,
    lon: leader.lon,
    // Who has not said which days is asked for any.
    days: leader.days.length === 0 ? ANY_DAY : leader.days,
    shortestMetres: leader.shortestMetres,
    longestMetres: leader.longestMetres,
    months: Object.fromEntries(
      months.flatMap(({ month, pledge, state, kept, coming }) =>
        pledge === null || state === 'excused' ? [] : [[month, { pledged: pledge, left: pledge - kept - coming - asked(month) }]],
      ),
    ),
    ledThisSeason: sum(soFar.map(({ kept }) => kept)),
    pledgedThisSeason: sum(soFar.map(({ pledge, state }) => (state === 'excused' ? 0 : (pledge ?? 0)))),
    busyDates: [...new Set([...led, ...open.map(({ date }) => date)])].sort(),
    notFor: gaps.filter((gap) => declined.some((one) => speaksFor(one, gap))).map(({ id }) => id),
  };
}

function sum(numbers: number[]): number {
  return numbers.reduce((total, one) => total + one, 0);
}
