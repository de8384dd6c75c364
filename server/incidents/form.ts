import { instants } from '../calc/zone.js';
import { MOST_NAME } from '../signups/name.js';
import { type Faults, isDate, line, lines, type Typed } from '../web/forms.js';
import type { IncidentRecord } from './record.js';
import { isKind } from './words.js';

/** What the form sends for somebody who is not on the roll. */
export const SOMEBODY_ELSE = 'else';
const MOST_LINE = 200;
const MOST_TEXT = 4000;
const LEAST_WHAT = 10;
/** A phone's clock may be a little ahead. */
const AHEAD_MS = 10 * 60 * 1000;

export const RECORD_LABELS: Record<string, string> = {
  kind: 'What kind of thing',
  who: 'To whom',
  name: 'Who that is',
  where: 'Where',
  whereText: 'Where exactly',
  date: 'Day',
  time: 'Time',
  what: 'What happened',
  done: 'What was done',
  called: 'Emergency services',
  seenBy: 'Seen by',
};

/** What a record is held against. */
export interface Facts {
  /** Who is on the roll, by "m12" or "tKEY". */
  people: ReadonlyMap<string, string>;
  /** The places that can be chosen: "start", "stop 1", …, "finish". */
  places: readonly string[];
  zone: string;
  now: number;
}

export interface GivenRecord {
  /** Who on the roll; empty for somebody else. */
  who: string;
  record: IncidentRecord;
}

/** Reads an incident as a leader types it; a sentence for each field that needs mending. Pure. */
export function readRecord(typed: Typed, facts: Facts): { given: GivenRecord } | { faults: Faults } {
  const faults: Faults = {};
  const kind = line(typed, 'kind');
  if (!isKind(kind)) faults.kind = 'Choose what comes nearest.';
  const asked = line(typed, 'who');
  const onRoll = facts.people.get(asked);
  const name = onRoll ?? short(typed, 'name', MOST_NAME, faults);
  if (onRoll === undefined && asked !== SOMEBODY_ELSE) faults.who = 'Choose somebody on the roll, or somebody else.';
  const where = facts.places.find((one) => one === line(typed, 'where')) ?? '';
  const whereText = short(typed, 'whereText', MOST_LINE, faults);
  if (where === '' && whereText === '') faults.whereText = 'Choose a place above, or write where it was.';
  const at = readTime(typed, facts, faults);
  const what = long(typed, 'what', faults);
  if ([...what].length < LEAST_WHAT) faults.what = 'Write what happened, in ten characters or more.';
  const done = long(typed, 'done', faults);
  if (done === '') faults.done = 'Write what was done; "nothing" will do.';
  const called = line(typed, 'called');
  if (called !== 'yes' && called !== 'no') faults.called = 'Say whether the emergency number was called.';
  const seenBy = short(typed, 'seenBy', MOST_LINE, faults);
  if (Object.keys(faults).length > 0 || !isKind(kind)) return { faults };
  const needsMore = line(typed, 'needsMore') !== '';
  return {
    given: {
      who: onRoll === undefined ? '' : asked,
      record: { kind, name, where, whereText, ...at, what, done, called: called === 'yes', seenBy, needsMore },
    },
  };
}

function readTime(typed: Typed, { zone, now }: Facts, faults: Faults): { date: string; time: string } {
  const [date, time] = [line(typed, 'date'), line(typed, 'time')];
  if (!isDate(date)) faults.date = 'Type the day, such as 2026-11-28.';
  if (!/^([01]\d|2[0-3]):[0-5]\d$/.test(time)) faults.time = 'Type the time, such as 14:30.';
  if (faults.date || faults.time) return { date, time };
  const [at] = instants(date, time, zone);
  if (at === undefined) faults.time = 'Clocks went forward over this time: type the one after.';
  else if (at > now + AHEAD_MS) faults.time = 'This is still to come. Check day and time.';
  return { date, time };
}

function short(typed: Typed, field: string, most: number, faults: Faults): string {
  const text = line(typed, field);
  if (text.length > most) faults[field] = `Keep this under ${most} characters; it has ${text.length}.`;
  return text;
}

function long(typed: Typed, field: string, faults: Faults): string {
  const text = lines(typed, field);
  if (text.length > MOST_TEXT) faults[field] = `Keep this under ${MOST_TEXT} characters; it has ${text.length}.`;
  return text;
}

/** Reads a note: words, and not too many. Pure. */
export function readNote(typed: Typed, field = 'note'): { note: string } | { faults: Faults } {
  const faults: Faults = {};
  const note = long(typed, field, faults);
  if (note === '') faults[field] = 'Write the note first.';
  return Object.keys(faults).length > 0 ? { faults } : { note };
}
