import { createEvents, type EventAttributes } from 'ics';
import { addDays } from '../calc/month.js';

const PRODUCT = '-//Waymeet//Waymeet//EN';
const MOST_OCTETS = 75;
const ALARM_HOURS_BEFORE = 2;

/** A walk as calendars show it. Instants in ms. */
export interface CalendarWalk {
  uid: string;
  sequence: number;
  stamp: number;
  start: number;
  end: number;
  title: string;
  place: string;
  lat: number | null;
  lon: number | null;
  description: string;
  url: string;
  cancelled: boolean;
  organizer: Mailbox;
}

/** A whole day that asks for something, as calendars show it: it takes nobody's time. */
export interface CalendarDay {
  uid: string;
  /** Higher whenever it is another; none where it is made anew each day. */
  sequence?: number;
  /** ms */
  stamp: number;
  /** YYYY-MM-DD, in no zone. */
  date: string;
  title: string;
  description: string;
  url: string;
  organizer: Mailbox;
}

export interface Mailbox {
  name: string;
  email: string;
}

/** The calendar part of a notice to one walker (RFC 5546): REQUEST with an alarm, or CANCEL without one where the walk is cancelled. */
export function calendarInvitation(walk: CalendarWalk, attendee: Mailbox): string {
  const { description, ...rest } = walk;
  return withLines(keptInvitation(rest), [[attendeeLine(attendee), descriptionLine(description)]]);
}

/** A file or feed of walks, and of whole days (METHOD:PUBLISH, no attendee); clients take it with nothing in it, too. */
export function calendarFile(walks: CalendarWalk[], name: string, days: CalendarDay[] = []): string {
  const entries = [...walks, ...days];
  const events = [...walks.map(eventOf), ...days.map(dayEvent)];
  const calendar = calendarOf(events, { method: 'PUBLISH', calName: escaped(clean(name)) }, entries);
  return withLines(
    calendar,
    entries.map(({ description }) => [descriptionLine(description)]),
  );
}

let kept = { key: '', text: '' };

/** A walk but for its description, which holds each walker's own link. */
type SharedWalk = Omit<CalendarWalk, 'description'>;

/** All of an invitation that is the same for every attendee. The last one is kept: a change makes many letters of one walk, and `ics` is the slow part of each. */
function keptInvitation(walk: SharedWalk): string {
  const key = JSON.stringify(walk);
  if (kept.key !== key) {
    const event: DatedEvent = { ...eventOf(walk), ...(walk.cancelled ? {} : { alarms: [alarm(walk)] }) };
    kept = { key, text: calendarOf([event], { method: walk.cancelled ? 'CANCEL' : 'REQUEST' }, [walk]) };
  }
  return kept.text;
}

/** What of an entry is written here, not by `ics`. */
type Owned = Pick<CalendarDay, 'organizer' | 'url'>;

/** `ics` takes a DTSTAMP, though its types leave it out. */
type DatedEvent = EventAttributes & { timestamp: number };

function eventOf(walk: SharedWalk): DatedEvent {
  return {
    uid: escaped(clean(walk.uid)),
    sequence: walk.sequence,
    timestamp: walk.stamp,
    start: walk.start,
    end: walk.end,
    startOutputType: 'utc',
    endOutputType: 'utc',
    title: clean(walk.title),
    location: clean(walk.place),
    status: walk.cancelled ? 'CANCELLED' : 'CONFIRMED',
    ...(walk.lat === null || walk.lon === null ? {} : { geo: { lat: degrees(walk.lat), lon: degrees(walk.lon) } }),
  };
}

/** DTSTART and DTEND as dates (RFC 5545, 3.6.1): the end is the first day that is not part of it. */
function dayEvent({ uid, sequence, stamp, date, title }: CalendarDay): DatedEvent {
  return {
    uid: escaped(clean(uid)),
    ...(sequence === undefined ? {} : { sequence }),
    timestamp: stamp,
    start: datePart(date),
    end: datePart(addDays(date, 1)),
    title: clean(title),
    transp: 'TRANSPARENT',
  };
}

function datePart(date: string): [number, number, number] {
  const [year = 0, month = 1, day = 1] = date.split('-').map(Number);
  return [year, month, day];
}

/** Six decimals, as RFC 5545 (3.8.1.6) asks; never 1e-7, which is no number there. */
function degrees(angle: number): number {
  return Number(angle.toFixed(6));
}

function alarm(walk: SharedWalk): NonNullable<EventAttributes['alarms']>[number] {
  return { action: 'display', description: escaped(clean(walk.title)), trigger: { hours: ALARM_HOURS_BEFORE, before: true } };
}

/**
 * What `ics` 3.12 makes, with its faults mended: it folds lines by characters, quotes CN wrongly, and refuses some good addresses of
 * pages (an IPv6 host), so organizer and page are written here. @throws Error where `ics` refuses an event
 */
function calendarOf(events: DatedEvent[], header: { method: string; calName?: string }, entries: Owned[]): string {
  const { error, value } = createEvents(events, { ...header, productId: PRODUCT });
  if (error || !value) throw new Error('no calendar was made', { cause: error });
  const refolded = value
    .replace(/\r\n[\t ]/g, '')
    .split('\r\n')
    .map(folded)
    .join('\r\n');
  return withLines(
    refolded,
    entries.map(({ organizer, url }) => [
      `ORGANIZER${cn(organizer.name)}:${mailto(organizer.email)}`,
      `URL:${clean(url).replace(/\s/g, '')}`,
    ]),
  );
}

/** Adds lines to each event in turn: first in it, since properties stand before alarms. No text can hold this mark: its line ends are escaped. */
function withLines(calendar: string, lines: string[][]): string {
  let event = 0;
  return calendar.replace(/\r\nBEGIN:VEVENT(?=\r\n)/g, (begin) => [begin, ...(lines[event++] ?? []).map(folded)].join('\r\n'));
}

function descriptionLine(description: string): string {
  return `DESCRIPTION:${escaped(clean(description))}`;
}

function attendeeLine({ name, email }: Mailbox): string {
  return `ATTENDEE;CUTYPE=INDIVIDUAL;ROLE=REQ-PARTICIPANT;PARTSTAT=ACCEPTED;RSVP=FALSE${cn(name)}:${mailto(email)}`;
}

/**
 * A CN parameter, always quoted (RFC 5545, 3.2). A quotation mark can't stand in one and becomes an apostrophe, which every client shows;
 * a circumflex begins an escape and is doubled (RFC 6868).
 */
function cn(name: string): string {
  const plain = clean(name).replace(/\s+/g, ' ').replaceAll('"', "'").replaceAll('^', '^^').trim();
  return plain === '' ? '' : `;CN="${plain}"`;
}

/** A mailto address (RFC 6068): whatever could end the line, the value or the address is encoded. */
function mailto(email: string): string {
  const address = clean(email).replace(/\s/g, '');
  return `mailto:${encodeURIComponent(address).replace(/%(40|2B)/g, (code) => decodeURIComponent(code))}`;
}

/** Line ends made \n, every other control character out: what is left can't begin a line of its own. */
function clean(text: string): string {
  return text
    .toWellFormed()
    .replace(/\r\n?|[\u0085\u2028\u2029]/g, '\n')
    .replace(/[^\P{Cc}\t\n]/gu, '');
}

/** TEXT as RFC 5545 (3.3.11) writes it, where `ics` does not. */
function escaped(text: string): string {
  return text.replace(/[\\;,]/g, (mark) => `\\${mark}`).replaceAll('\n', '\\n');
}

/** One content line in pieces of at most 75 octets, never cut inside a character (RFC 5545, 3.1). */
function folded(line: string): string {
  if (Buffer.byteLength(line) <= MOST_OCTETS) return line;
  const pieces: string[] = [];
  let piece = '';
  let octets = 0;
  for (const character of line) {
    const size = Buffer.byteLength(character);
    if (octets + size > MOST_OCTETS) {
      pieces.push(piece);
      piece = '';
      octets = 1; // the blank that begins a continuation counts
    }
    piece += character;
    octets += size;
  }
  return [...pieces, piece].join('\r\n ');
}
