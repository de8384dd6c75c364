import type { GroupSettings } from '../settings/rules.js';
import { monthName } from '../web/when.js';
import { type Asked, boardHref } from './asked.js';
import type { AreaCoverage } from './coverage.js';
import type { Covered } from './covered.js';
import type { AreaNeed } from './needs-of.js';
import { cell } from './rules.js';

/** Whether a need is shown: with lengths asked for, only those of the plan whose length lies between them. */
export function isShown({ dayKind, bestMetres }: AreaNeed, { minMetres, maxMetres }: Asked): boolean {
  if (minMetres === null && maxMetres === null) return true;
  const metres = Math.round(bestMetres);
  return dayKind !== 'any' && metres >= (minMetres ?? 0) && metres <= (maxMetres ?? Number.POSITIVE_INFINITY);
}

/** The table of areas by months. @param walkers lately, by area's number @param now the month it is */
export function tableModel(
  coverage: AreaCoverage[],
  asked: Asked,
  walkers: ReadonlyMap<number, number>,
  { now, settings }: { now: string; settings: GroupSettings },
) {
  const hasLengths = asked.minMetres !== null || asked.maxMetres !== null;
  return {
    months: asked.months.map((month) => ({ ...monthName(month, settings.locale), current: month === now })),
    areas: coverage.map((one) => ({
      name: one.area.name,
      slug: one.area.slug,
      people: peopleWords(one.area.leaders, walkers.get(one.area.id) ?? 0),
      months: cellsOf(one, asked, hasLengths).map((each) => ({
        ...each,
        past: each.month < now,
        open: asked.open?.area === one.area.slug && asked.open.month === each.month,
        href: `${boardHref(asked, settings.units, { area: one.area.slug, month: each.month })}#open`,
      })),
    })),
  };
}

function cellsOf({ covered, spare }: AreaCoverage, asked: Asked, hasLengths: boolean) {
  const needs = byMonth(covered.filter(({ need }) => isShown(need, asked)));
  const extras = new Map<string, number>();
  if (!hasLengths) for (const { month } of spare) extras.set(month, (extras.get(month) ?? 0) + 1);
  return asked.months.map((month) => {
    const own = needs.get(month) ?? [];
    const met = own.filter(({ walk }) => walk).length;
    const shape = cell(met, own.length);
    return {
      month,
      ...shape,
      none: shape.fill === 'none',
      nothing: own.length === 0,
      extra: extras.get(month) ?? 0,
      squares: '■'.repeat(met) + '□'.repeat(own.length - met),
    };
  });
}

function byMonth(covered: Covered[]): Map<string, Covered[]> {
  const months = new Map<string, Covered[]>();
  for (const one of covered) {
    const others = months.get(one.need.month);
    if (others) others.push(one);
    else months.set(one.need.month, [one]);
  }
  return months;
}

/** "2 leaders, 23 walkers", "No leader, 23 walkers" */
export function peopleWords(leaders: number, walkers: number): string {
  const leading = leaders === 0 ? 'No leader' : `${leaders} ${leaders === 1 ? 'leader' : 'leaders'}`;
  return `${leading}, ${walkers} ${walkers === 1 ? 'walker' : 'walkers'}`;
}
