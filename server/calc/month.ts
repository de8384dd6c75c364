import { wallOf } from './zone.js';

/** The month (YYYY-MM) an instant falls in, in a zone: what commitment and coverage count by. */
export function monthOf(instant: number, zone: string): string {
  return wallOf(instant, zone).date.slice(0, 7);
}

/** The month `count` months after (or before) another. */
export function addMonths(month: string, count: number): string {
  const [year, number] = month.split('-').map(Number) as [number, number];
  const months = year * 12 + number - 1 + count;
  return `${String(Math.floor(months / 12)).padStart(4, '0')}-${String((months % 12) + 1).padStart(2, '0')}`;
}

/** `count` months from `month` on. */
export function monthsFrom(month: string, count: number): string[] {
  return Array.from({ length: count }, (_, index) => addMonths(month, index));
}

/** The months from one to another (YYYY-MM), both among them; none where the second comes before the first. */
export function monthsBetween(from: string, to: string): string[] {
  const months: string[] = [];
  for (let month = from; month <= to; month = addMonths(month, 1)) months.push(month);
  return months;
}

/** The date `count` days after another; dates have no zone. */
export function addDays(date: string, count: number): string {
  const at = new Date(`${date}T00:00:00Z`);
  at.setUTCDate(at.getUTCDate() + count);
  return at.toISOString().slice(0, 10);
}
