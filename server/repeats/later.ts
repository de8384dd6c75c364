import { addDays } from '../calc/month.js';
import { changedFacts } from '../walks/edit.js';
import { FACT_LABELS } from '../walks/fact-labels.js';
import type { FactName, WalkFacts } from '../walks/facts.js';
import { MOST_AHEAD_MS } from '../walks/form-time.js';
import { atWall } from './wall.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const DAYS_A_WEEK = 7;

/** Facts that mean something only together: a walk that has its own of one keeps them all. */
const GROUPS: { label: string; facts: FactName[] }[] = [
  { label: 'times', facts: ['gather', 'setOff'] },
  { label: 'time zone', facts: ['zone'] },
  { label: 'meeting point', facts: ['meetingPoint', 'landmark', 'lat', 'lon'] },
  { label: 'route, length and stops', facts: ['distanceMetres', 'ascentMetres', 'routeId', 'effortMetres', 'stops'] },
  ...(
    [
      'areaId',
      'routeName',
      'locality',
      'surfaces',
      'stepFree',
      'capacity',
      'dogs',
      'minors',
      'theme',
      'directions',
      'description',
      'bring',
    ] as const
  ).map((name) => ({ label: (FACT_LABELS[name] ?? name).toLowerCase(), facts: [name] })),
];

/** What of a later walk an edit has to mind. */
export interface LaterWalk {
  facts: WalkFacts;
  /** Places confirmed: capacity can't go below. */
  confirmed: number;
  /** Under-18s signed up: it goes on taking them. */
  minorsSignedUp: number;
}

export interface LaterEdit {
  facts: WalkFacts;
  /** What the walk keeps of its own, in words: "meeting point". */
  kept: string[];
  /** Why the edit can't be made on that walk; '' where it can. */
  refused: string;
  /** The date it would have, YYYY-MM-DD. */
  date: string;
}

/**
 * What an edit of one walk makes of a later one of its series. A fact that was edited is changed where the later walk has the old value,
 * and left alone where it has its own. A new date moves the later walk by as many days where the weekday changed, and not at all where the
 * walk was put off by whole weeks. The clock on the wall is kept. When the route was last seen, and why a walk goes ahead all the same, are
 * each walk's own. Pure.
 * @param base the edited walk before the edit @param mine after it @param now ms
 */
export function laterEdit(base: WalkFacts, mine: WalkFacts, later: LaterWalk, now: number): LaterEdit {
  const edited = changedFacts(base, mine);
  const taken: Partial<WalkFacts> = {};
  const kept: string[] = [];
  for (const { label, facts } of GROUPS) {
    const names = facts.filter((name) => edited.includes(name));
    if (names.length === 0 || same(later.facts, mine, names)) continue;
    const own = same(later.facts, base, facts) ? heldBack(names, mine, later) : label;
    if (own === '') Object.assign(taken, Object.fromEntries(names.map((name) => [name, mine[name]])));
    else kept.push(own);
  }
  const shift = shiftOf(base.date, mine.date);
  if (base.date !== mine.date && shift === 0) kept.push('date: the weekday stays the same');
  return { kept, ...inTime({ ...later.facts, ...taken }, later.facts, shift, now) };
}

function same(one: WalkFacts, other: WalkFacts, names: FactName[]): boolean {
  return names.every((name) => JSON.stringify(one[name]) === JSON.stringify(other[name]));
}

/** What people who are signed up already hold a later walk to; '' where nothing does. */
function heldBack(names: FactName[], mine: WalkFacts, { confirmed, minorsSignedUp }: LaterWalk): string {
  if (names.includes('capacity') && mine.capacity < confirmed) return `places: ${confirmed} are confirmed`;
  if (names.includes('minors') && !mine.minors && minorsSignedUp > 0) return 'under-18s: some are signed up';
  return '';
}

/** By how many days later walks move: none where the weekday stays. */
function shiftOf(before: string, after: string): number {
  const days = Math.round((Date.parse(after) - Date.parse(before)) / DAY_MS);
  return days % DAYS_A_WEEK === 0 ? 0 : days;
}

function inTime(next: WalkFacts, before: WalkFacts, shift: number, now: number): Omit<LaterEdit, 'kept'> {
  const date = addDays(before.date, shift);
  if (shift === 0 && same(next, before, ['gather', 'setOff', 'zone'])) return { facts: next, refused: '', date };
  const { gather, setOff, zone } = next;
  const on = atWall(next, { date, gather, setOff, zone }, before.doubledOffset);
  const refused = 'missing' in on ? `the clocks go forward over ${on.time}, so that time does not happen` : outOfTime(on.facts, now);
  return { facts: 'facts' in on && refused === '' ? on.facts : before, refused, date };
}

function outOfTime({ gatherAt, setOffAt }: WalkFacts, now: number): string {
  if (setOffAt < gatherAt) return 'the group would set off before people gather';
  if (gatherAt <= now) return 'it would lie in the past';
  return gatherAt > now + MOST_AHEAD_MS ? 'it would be more than a year ahead' : '';
}
