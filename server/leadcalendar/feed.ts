import { wallOf } from '../calc/zone.js';
import { areaZoneOf } from '../commitment/terms.js';
import { areaNeeds, type Wanted } from '../coverage/needs.js';
import { type CalendarDay, calendarFile } from '../notices/calendar.js';
import type { Services } from '../services.js';
import { mailAddress, walkForCalendar } from '../walks/calendar.js';
import type { Stop } from '../walks/stops.js';
import { type LedRow, ledBetween } from './store.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const BACK_DAYS = 92;
const AHEAD_DAYS = 366;

/**
 * The calendar of a leader: what they lead or share, and what their area still needs. Counts of walkers, and nothing else of them.
 * A walk has the UID and the SEQUENCE that it has in walkers' calendars: it is the same event, and a program that meets it twice knows that.
 */
export function leaderCalendar(services: Services, leader: { personId: number; areaId: number }): string {
  const { db, settings, now } = services;
  const rows = ledBetween(db.q, leader.personId, now() - BACK_DAYS * DAY_MS, now() + AHEAD_DAYS * DAY_MS);
  const today = wallOf(now(), areaZoneOf(db.q, leader.personId)).date;
  return calendarFile(
    rows.map((row) => walkForCalendar({ ...row, stops: JSON.parse(row.stops) as Stop[] }, services, notes(row, services.config.baseUrl))),
    settings().groupName,
    areaNeeds(db.q, leader.areaId, today, settings()).map((need) => needEntry(need, today, services)),
  );
}

function notes({ id, state, part, confirmed, waiting, capacity }: LedRow, baseUrl: string): string[] {
  const taken = `${confirmed} of ${capacity} places taken${waiting === 0 ? '' : `, ${waiting} waiting`}`;
  return [
    part === 'leader' ? 'You lead this walk.' : 'You share this walk.',
    ...(state === 'cancelled' ? [] : [taken]),
    `Its people, changes and messages: ${baseUrl}/lead/walks/${id}`,
    'What everyone sees:',
  ];
}

/** It stands on the day that the form proposes. */
function needEntry(need: Wanted, today: string, { config, settings }: Services): CalendarDay {
  const { groupName } = settings();
  const url = config.baseUrl + need.href;
  return {
    uid: `need-${need.id.replaceAll(' ', '-')}@${new URL(config.baseUrl).hostname}`,
    stamp: Date.parse(today),
    date: need.date,
    title: `Walk wanted: ${need.length ?? 'any length'}, ${need.area}`,
    description: `Post it here: ${url}`,
    url,
    organizer: { name: groupName, email: mailAddress(config.mailFrom) },
  };
}
