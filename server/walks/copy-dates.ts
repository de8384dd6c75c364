import { addDays } from '../calc/month.js';
import type { WalkRow } from './ledby.js';

/** Dates offered for a copy: the next day and the same day of the next week. */
export function copyDates(walk: WalkRow): { label: string; date: string }[] {
  return [
    { label: 'The next day', date: addDays(walk.wallDate, 1) },
    { label: 'A week later', date: addDays(walk.wallDate, 7) },
  ];
}
