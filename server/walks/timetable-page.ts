import { climbFigure, lengthFigure } from '../calc/measure.js';
import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import { type When, when } from '../web/when.js';
import { shownDate } from './shown-date.js';
import type { TimetableRow } from './timetable.js';

const DAY_MS = 24 * 60 * 60 * 1000;

export interface TimetableDay {
  date: string;
  heading: string;
  /** "today", "in 2 days" */
  away: string;
  walks: TimetableEntry[];
}

export interface TimetableEntry {
  href: string;
  cancelled: boolean;
  gather: When;
  length: string;
  unit: string;
  route: string;
  detail: string;
  /** It suits the season plan's walks of this week. */
  suits: boolean;
  flag: { kind: 'caution' | 'danger'; text: string } | null;
  left: number;
  waiting: number;
}

/** Rows grouped by the day the leader meant, in the order of the day. */
export function timetableDays(
  rows: TimetableRow[],
  settings: GroupSettings,
  now: number,
  suits: (row: TimetableRow) => boolean = () => false,
): TimetableDay[] {
  const ordered = [...rows].sort((a, b) => (a.wallDate === b.wallDate ? a.gatherAt - b.gatherAt : a.wallDate < b.wallDate ? -1 : 1));
  const days: TimetableDay[] = [];
  for (const row of ordered) {
    const gather = when(row.gatherAt, row.zone, settings);
    let day = days.at(-1);
    if (day?.date !== row.wallDate) {
      day = { date: row.wallDate, heading: shownDate(row.gatherAt, row.zone, settings, now), away: away(row, now), walks: [] };
      days.push(day);
    }
    day.walks.push({ ...entry(row, gather, settings), suits: row.state === 'posted' && suits(row) });
  }
  return days;
}

function entry(row: TimetableRow, gather: When, settings: GroupSettings): Omit<TimetableEntry, 'suits'> {
  const surfaces = JSON.parse(row.surfaces) as string[];
  const climb = row.ascentMetres > 0 ? `${climbFigure(row.ascentMetres, settings.units, settings.locale)} of climb` : '';
  return {
    href: `/walks/${row.id}`,
    cancelled: row.state === 'cancelled',
    gather,
    length: lengthFigure(row.distanceMetres, settings.units),
    unit: settings.units,
    route: row.routeName,
    detail: [row.locality, climb, row.stepFree ? 'step-free' : '', surfaces.join(', ')].filter((part) => part !== '').join(', '),
    flag: flag(row),
    left: Math.max(0, row.capacity - row.confirmed),
    waiting: row.waiting,
  };
}

function flag(row: TimetableRow): TimetableEntry['flag'] {
  if (row.state === 'cancelled') return { kind: 'danger', text: `Cancelled: ${row.cancelReason ?? ''}` };
  return row.moved === '' ? null : { kind: 'caution', text: row.moved };
}

function away(row: TimetableRow, now: number): string {
  const days = Math.round((Date.parse(row.wallDate) - Date.parse(wallOf(now, row.zone).date)) / DAY_MS);
  if (days === 0) return 'today';
  if (days === 1) return 'tomorrow';
  return days > 0 ? `in ${days} days` : `${-days} days ago`;
}
