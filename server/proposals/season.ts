import { allAreas } from '../areas/store.js';
import type { AssignInput } from '../calc/assign.js';
import { addMonths, monthsBetween } from '../calc/month.js';
import { leaderMonths } from '../commitment/store.js';
import { type AreaCoverage, coverageOf, termsNow } from '../coverage/coverage.js';
import { walkersLately } from '../coverage/store.js';
import { byUrgency, type UrgentGap } from '../coverage/urgency.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import { type AskRow, asksIn, postedBy } from './asks-store.js';
import type { Filter } from './filter.js';
import { assignInput, type LeaderRecord } from './input.js';
import { type Stands, standings } from './rules.js';
import { type Askable, askable, datesLed } from './store.js';

/** So many gaps are proposed for at once, the most urgent: more is no evening's work. */
export const MOST_GAPS = 60;
/** Where no season runs, fairness looks back so many months. */
const LOOK_BACK_MONTHS = 6;

export type StandingAsk = AskRow & Stands;

/** What proposals are made from. */
export interface Season {
  /** Gaps that nobody is asked for, the most urgent first; and how many more there are. */
  gaps: UrgentGap[];
  more: number;
  leaders: ReadonlyMap<number, Askable>;
  input: AssignInput;
  /** What was asked for the months shown, in the order it was asked. */
  asks: StandingAsk[];
}

/** Everything that proposals are made from, in sixteen queries at most. @param today the date it is in the group's own zone */
export function seasonFor(
  q: Tx,
  services: Pick<Services, 'settings' | 'now'>,
  { months, area, need: one = '' }: Omit<Filter, 'need'> & { need?: string },
  today: string,
): Season {
  const terms = termsNow(q, services);
  const { settings, plan } = terms;
  const areas = allAreas(q);
  const only = areas.find(({ slug }) => slug === area)?.id ?? null;
  // Weekends lie in two months: what is asked on one side of their border speaks for the other.
  const wide = widened(months);
  const coverage = coverageOf(q, terms, wide);
  const asks = standingAsks(q, asksIn(q, wide[0] ?? '', wide.at(-1) ?? ''), coverage);
  const waiting = new Set(asks.filter(({ standing }) => standing === 'open').map(({ need }) => need));
  const walkers = walkersLately(q, today);
  const shown = new Set(months);
  const inView = (one: { area: { id: number } }) => only === null || one.area.id === only;
  const isFree = ({ id, month }: { id: string; month: string }) => shown.has(month) && !waiting.has(id) && (one === '' || one === id);
  const free = byUrgency(coverage.filter(inView), walkers).filter(({ need }) => isFree(need));
  const gaps = free.slice(0, MOST_GAPS);
  const leaders = askable(q, services.now());
  const records = recordsFor(q, leaders, { asks, months: wide, soFar: soFarIn(plan?.from ?? null, today), now: services.now() });
  const centres = new Map(areas.map((one) => [one.id, one]));
  return {
    gaps,
    more: free.length - gaps.length,
    leaders: new Map(leaders.map((leader) => [leader.id, leader])),
    input: assignInput(gaps, records, centres, settings),
    asks: asks.filter(({ month, areaId }) => shown.has(month) && (only === null || areaId === only)),
  };
}

function widened(months: string[]): string[] {
  return [addMonths(months[0] ?? '', -1), ...months, addMonths(months.at(-1) ?? '', 1)];
}

/** How asks stand, by what the areas have now. One query. @param coverage of all months that they are for */
export function standingAsks(q: Tx, asks: AskRow[], coverage: AreaCoverage[]): StandingAsk[] {
  const walks = coverage.flatMap(({ covered }) => covered.flatMap(({ walk }) => walk?.id ?? []));
  const found = standings(asks, coverage, asks.length === 0 ? new Map() : postedBy(q, walks));
  return asks.map((ask) => {
    const stands: Stands = found.get(ask.id) ?? NOT_WANTED;
    return { ...ask, ...stands, ...nowOf(stands) };
  });
}

const NOT_WANTED: Stands = { standing: 'dropped', walkId: null, wanted: null };

/** What an ask is for now, where that is not what it was made for: its day may be over, the plan edited since, or another's walk given to the very need. */
function nowOf({ wanted }: Stands): Partial<Pick<AskRow, 'need' | 'date' | 'bestMetres'>> {
  if (!wanted) return {};
  const { need, date } = wanted;
  return { need: need.id, date, bestMetres: need.dayKind === 'any' ? null : need.bestMetres };
}

/** The months of the season until now, or of the last half year. */
function soFarIn(seasonFrom: string | null, today: string): string[] {
  const now = today.slice(0, 7);
  const isOn = seasonFrom !== null && seasonFrom <= today;
  return monthsBetween(isOn ? seasonFrom.slice(0, 7) : addMonths(now, 1 - LOOK_BACK_MONTHS), now);
}

interface Around {
  asks: StandingAsk[];
  months: string[];
  soFar: string[];
  now: number;
}

function recordsFor(q: Tx, leaders: Askable[], { asks, months, soFar, now }: Around): LeaderRecord[] {
  const all = [...new Set([...soFar, ...months])].sort();
  const standing = new Map(leaderMonths(q, all, now).map((one) => [one.personId, one.months]));
  const led = datesLed(q, months);
  const [ahead, past] = [new Set(months), new Set(soFar)];
  return leaders.map((leader) => {
    const own = standing.get(leader.id) ?? [];
    const theirs = asks.filter(({ toPersonId }) => toPersonId === leader.id);
    return {
      leader,
      months: own.filter(({ month }) => ahead.has(month)),
      soFar: own.filter(({ month }) => past.has(month)),
      led: led.get(leader.id) ?? [],
      open: theirs.filter(({ standing: how }) => how === 'open'),
      declined: theirs.filter(({ state }) => state === 'not this time'),
    };
  });
}
