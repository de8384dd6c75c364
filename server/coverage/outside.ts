import type { SeasonPlan } from '../calc/plan.js';

interface Outside {
  days: string[];
  share: number;
}

const known = new WeakMap<object, Map<string, Outside>>();

/** The days of a month (YYYY-MM) on which no season runs, and their share of it, 0 to 1; all of them where there is no plan. Worked out once for each plan and month: every area asks. Pure. */
export function daysOutside(plan: Pick<SeasonPlan, 'from' | 'to'> | null, month: string): Outside {
  if (!plan) return outside(null, month);
  const months = known.get(plan) ?? new Map<string, Outside>();
  known.set(plan, months);
  const found = months.get(month) ?? outside(plan, month);
  months.set(month, found);
  return found;
}

function outside(plan: Pick<SeasonPlan, 'from' | 'to'> | null, month: string): Outside {
  const all = daysIn(month);
  const days = plan ? all.filter((day) => day < plan.from || day > plan.to) : all;
  return { days, share: days.length / all.length };
}

function daysIn(month: string): string[] {
  const [year = 0, number = 1] = month.split('-').map(Number);
  const count = new Date(Date.UTC(2000, 0)).setUTCFullYear(year, number, 0);
  return Array.from({ length: new Date(count).getUTCDate() }, (_, day) => `${month}-${String(day + 1).padStart(2, '0')}`);
}
