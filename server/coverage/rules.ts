import { addDays } from '../calc/month.js';

/** One cell of the board: needs that a walk meets, of all there are. */
export interface Cell {
  met: number;
  needed: number;
  fill: 'full' | 'part' | 'none';
}

/** A cell's shape; one of a month that asks for nothing is full. Pure. */
export function cell(met: number, needed: number): Cell {
  return { met, needed, fill: met >= needed ? 'full' : met === 0 ? 'none' : 'part' };
}

const SATURDAY = 6;

/** The first Saturday of a month that comes after today, YYYY-MM-DD: the day most walks are on. Null where the month has none left. */
export function saturdayIn(month: string, today: string): string | null {
  const first = `${month}-01`;
  const from = first > today ? first : addDays(today, 1);
  const saturday = addDays(from, (SATURDAY - new Date(`${from}T00:00:00Z`).getUTCDay() + 7) % 7);
  return saturday.slice(0, 7) === month ? saturday : null;
}
