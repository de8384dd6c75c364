import { hashed } from '../db/seal.js';
import type { Services } from '../services.js';
import { type CheckItem, unexplained } from '../walkcheck/rules.js';
import { checkOf, checksOnDates, nearOf } from '../walks/checked.js';
import type { WalkFacts } from '../walks/facts.js';
import { MOST_AHEAD_MS } from '../walks/form-time.js';
import type { WalkRow } from '../walks/ledby.js';
import { factsOf } from '../walks/store.js';
import { type FactToPost, missingToPost } from '../walks/to-post.js';
import { type DateLight, lightOf } from './light.js';
import { type SeriesWalk, seriesWalks } from './store.js';
import { atWall, type DoubledHour } from './wall.js';

/** One date of a series to be, and all that is known of it before it is made. */
export interface DateRow {
  date: string;
  /** The walk on that date; null where no such walk can be. */
  facts: WalkFacts | null;
  /** Why no walk can be made on that date; '' where one can. */
  blocked: string;
  /** A walk of the series that was on this date is cancelled. */
  cancelled: boolean;
  doubled: DoubledHour | null;
  check: CheckItem[];
  /** What stands in the way of posting: such a walk can be made as a draft. */
  open: CheckItem[];
  light: DateLight | null;
}

export interface Asked {
  dates: string[];
  /** Minutes east of UTC by date, where an hour happens twice. */
  hours: Map<string, number>;
  /** Who is to lead them. */
  leaderId: number;
}

/**
 * What a walk would be on each of several dates, ascending as they are asked. A fixed number of queries: the route, the area, the walks of
 * the series, and the walks about all of the dates.
 */
export function dateRows(services: Services, walk: WalkRow, { dates, hours, leaderId }: Asked): DateRow[] {
  const original = factsOf(walk);
  const near = nearOf(services, original);
  const whose = { walkId: null, leaderId };
  const there = walk.seriesId === null ? [] : seriesWalks(services.db.q, walk.seriesId);
  // When the route was last seen is for each walk to say anew; which reasons still fit shows once they are looked over.
  const copied = { ...original, seenOn: '' };
  const laid = dates.map((date) => ({ date, on: atWall(copied, { ...original, date }, hours.get(date) ?? null) }));
  const rows = laid.map(({ date, on }) => ({
    date,
    facts: 'facts' in on ? on.facts : null,
    doubled: 'facts' in on ? on.doubled : null,
    blocked: blockedBy(on, { date, walk, there, now: services.now() }),
    cancelled: there.some((one) => one.wallDate === date && one.state === 'cancelled'),
  }));
  const possible = rows.flatMap(({ facts, blocked }) => (facts && blocked === '' ? [facts] : []));
  const reasons = reasonsThatFit(original, checkOf(services, original, near, { ...whose, walkId: walk.id, when: 'posted' }));
  const missing = missingItems(original);
  const checks = checksOnDates(services, possible, near, whose).map((check) => [...missing, ...withReasons(check, reasons)]);
  return rows.map((row) => {
    const check = (row.facts && checks[possible.indexOf(row.facts)]) || [];
    const open = unexplained(check);
    const explained = Object.fromEntries(check.filter(({ reason }) => reason !== '').map(({ key, reason }) => [key, reason]));
    if (!row.facts || row.blocked !== '') return { ...row, check, open, light: null };
    return { ...row, facts: { ...row.facts, explained }, check, open, light: lightOf(row.facts, near, services.settings()) };
  });
}

/** What the walk does not say yet and a posted one must: as things to mend, so that its copies are drafts until then. */
function missingItems(facts: WalkFacts): CheckItem[] {
  return (Object.keys(missingToPost(facts)) as FactToPost[]).map((name) => ({
    ...NOT_SAID[name],
    key: name,
    kind: 'mend',
    explain: false,
    reason: '',
  }));
}

const NOT_SAID = {
  meetingPoint: {
    title: 'It has no meeting point yet',
    why: 'Nobody would know where to gather.',
    mends: 'Say where people gather.',
    href: 'meetingPoint',
  },
  landmark: {
    title: 'It has no landmark yet',
    why: 'People would not find each other.',
    mends: 'Name something exact to stand beside.',
    href: 'landmark',
  },
} as const;

function blockedBy(
  on: ReturnType<typeof atWall>,
  { date, walk, there, now }: { date: string; walk: WalkRow; there: SeriesWalk[]; now: number },
): string {
  if (date === walk.wallDate) return 'This is the date of the walk that you repeat.';
  if (there.some((one) => one.wallDate === date && one.state !== 'cancelled')) return IN_SERIES;
  if ('missing' in on) return `The clocks go forward over ${on.time} on this date, so that time does not happen.`;
  if (on.facts.gatherAt <= now) return 'This date has passed.';
  if (on.facts.gatherAt > now + MOST_AHEAD_MS) return 'This is more than a year ahead.';
  return '';
}

const IN_SERIES = 'The series has a walk on this date already.';

/** Whether the series has a walk on each of some dates already: the form was sent before. */
export function allThere(rows: DateRow[], chosen: string[]): boolean {
  return chosen.length > 0 && chosen.every((date) => rows.some((row) => row.date === date && row.blocked === IN_SERIES));
}

/** The reasons a leader gave for what is found on the walk itself, by the finding's own words: one that names another hour is another finding. */
function reasonsThatFit(facts: WalkFacts, check: CheckItem[]): Map<string, string> {
  return new Map(
    check.filter((item) => item.explain && facts.explained[item.key]).map((item) => [`${item.key} ${item.title}`, item.reason]),
  );
}

function withReasons(check: CheckItem[], reasons: Map<string, string>): CheckItem[] {
  return check.map((item) => (item.explain ? { ...item, reason: reasons.get(`${item.key} ${item.title}`) ?? '' } : item));
}

/** What of the rows a leader decides by, as a mark that travels with the form: where it differs, something is new to them. */
export function rowsMark(walk: Pick<WalkRow, 'version'>, rows: DateRow[]): string {
  const seen = rows.map(({ date, facts, blocked, cancelled, check }) => [
    date,
    facts?.gatherAt,
    blocked,
    cancelled,
    check.map(({ key, title, reason }) => [key, title, reason]),
  ]);
  return hashed(JSON.stringify([walk.version, seen])).slice(0, 32);
}
