import { lengthWords } from '../calc/measure.js';
import type { SeasonPlan } from '../calc/plan.js';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords, longMonth, monthName } from '../web/when.js';
import type { Asked } from './asked.js';
import { isShown } from './board-model.js';
import type { AreaCoverage } from './coverage.js';
import type { CountedWalk, Covered } from './covered.js';
import { dayFor, daysWalked } from './gaps.js';
import { gapHref, proposalFor } from './needs.js';
import type { NamedWalk } from './store.js';
import { KIND_WORDS, lengthWanted, rangeWords } from './words.js';

/** What the open cell is shown with. */
export interface OpenAround {
  plan: SeasonPlan | null;
  settings: GroupSettings;
  /** Walks by number, those of the cell among them. */
  named: ReadonlyMap<number, NamedWalk>;
  /** The visitor leads walks: they may post one; others ask those who do. */
  leads: boolean;
  /** Who was asked for each need, by its id. */
  asked: ReadonlyMap<string, string>;
  /** The needs for which somebody's answer is awaited. */
  waiting: ReadonlySet<string>;
}

/** The part of a coverage that the open cell shows; null where none is open, or there is no such area. */
export function openCell(coverage: AreaCoverage[], { open }: Asked): AreaCoverage | null {
  const one = open && coverage.find(({ area }) => area.slug === open.area);
  if (!one || !open) return null;
  const inMonth = ({ month }: { month: string }) => month === open.month;
  return { ...one, covered: one.covered.filter(({ need }) => inMonth(need)), spare: one.spare.filter(inMonth) };
}

/** An area's month, week by week: each need with the walk that meets it, or with what to do. */
export function openModel(cell: AreaCoverage, month: string, asked: Asked, around: OpenAround) {
  const { locale } = around.settings;
  const shown = cell.covered.filter(({ need }) => isShown(need, asked));
  const weeks = [...new Set(shown.map(({ need }) => need.week))];
  return {
    area: cell.area.name,
    ...monthName(month, locale),
    met: shown.filter(({ walk }) => walk).length,
    needed: shown.length,
    weeks: weeks.map((week) => ({
      heading: weekHeading(week, month, around),
      needs: shown.filter(({ need }) => need.week === week).map((one) => needRow(one, cell, around)),
    })),
    spare: cell.spare.map((walk) => walkRow(walk, around)),
  };
}

function weekHeading(week: string, month: string, { plan, settings }: OpenAround): string {
  if (week === '') return plan ? `${longMonth(month, settings.locale)} outside the season` : longMonth(month, settings.locale);
  const number = plan?.weeks.find(({ from }) => from === week)?.number;
  return `Week ${number}, from ${dateWords(week, settings.locale)}`;
}

function needRow({ need, walk }: Covered, cell: AreaCoverage, around: OpenAround) {
  const { area, today } = cell;
  const date = walk ? null : dayFor(need, today, daysWalked(cell));
  const best = lengthWanted(need, around.settings.units);
  return {
    kind: KIND_WORDS[need.dayKind],
    length: best ?? 'any length',
    counts: best === null ? null : rangeWords(need, around.settings.units),
    walk: walk && walkRow(walk, around),
    missing: date !== null,
    date: date && dateWords(date, around.settings.locale),
    post: date && around.leads ? gapHref({ need, area, date }, around.settings) : null,
    asked: around.asked.get(need.id) ?? null,
    ask: proposalFor(need, area),
    todo: around.waiting.has(need.id) ? 'See' : 'Ask',
    what: `${area.name}, ${date ? dateWords(date, around.settings.locale) : ''}`,
  };
}

function walkRow({ id, date, metres }: CountedWalk, { named, settings }: OpenAround) {
  return {
    href: `/walks/${id}`,
    name: named.get(id)?.routeName ?? '',
    date: dateWords(date, settings.locale),
    length: lengthWords(metres, settings.units),
  };
}
