import type { Explained, Reasons } from '../calc/assign-reasons.js';
import type { Id } from '../calc/ids.js';
import { daysFrom } from '../calc/plan-calendar.js';
import type { UrgentGap } from '../coverage/urgency.js';
import { KIND_WORDS, lengthWanted, wantedWords } from '../coverage/words.js';
import type { GroupSettings } from '../settings/rules.js';
import type { Faults } from '../web/forms.js';
import { dateWords, monthWords } from '../web/when.js';
import type { Pick } from './picks.js';
import type { Season, StandingAsk } from './season.js';
import { choiceWords, NOBODY_WORDS, peopleWords, reasonWords, STANDING_WORDS, walkWords } from './words.js';

/** What was typed in a form that was refused, by the need's id. */
export interface Kept {
  picks: Pick[];
  faults: Faults;
}

interface Around {
  season: Season;
  settings: GroupSettings;
  kept: Kept | null;
}

/** Rows of the form in their order: who is proposed for what, leader by leader; and the walks that nobody is proposed for. */
export function proposalModel({ proposed, unfilled }: Explained, around: Around) {
  const gaps = new Map(around.season.gaps.map((gap) => [gap.need.id as Id, gap]));
  const byDay = <T extends { gapId: Id }>(all: T[]) =>
    all.flatMap((one) => ((gap) => (gap ? [{ ...one, gap }] : []))(gaps.get(one.gapId))).sort(soonest);
  const people = new Map<number, RowOf[]>();
  const dates = proposed.map((one) => ({ leaderId: one.leader.leaderId, date: one.date, gapId: one.gapId }));
  for (const { gap, leader, others, ...found } of byDay(proposed)) {
    const theirs = dates.filter(({ leaderId, gapId }) => leaderId === leader.leaderId && gapId !== found.gapId);
    const date = dayShown(
      gap.date,
      { leader, date: found.date },
      theirs.map((one) => one.date),
    );
    const before = people.get(leader.leaderId) ?? [];
    // What is left of a promise falls with each walk proposed above it.
    const left = leader.left - before.filter((one) => one.date.slice(0, 7) === date.slice(0, 7)).length;
    const then = { ...leader, left };
    const one = { gap, date, choices: [then, ...others], reason: reasonWords(then, date.slice(0, 7), around.settings) };
    people.set(leader.leaderId, [...before, one]);
  }
  let row = 0;
  const next = (one: RowOf, isProposed: boolean) => rowModel(row++, one, isProposed, around);
  const leaders = [...people].map(([id, rows]) => {
    const leader = around.season.leaders.get(id);
    return {
      name: leader?.name ?? '',
      phone: leader?.phone ?? null,
      area: leader?.areaName ?? '',
      rows: rows.map((one) => next(one, true)),
    };
  });
  const alone = byDay(unfilled).map(({ gap, why, others }) =>
    next({ gap, date: gap.date, choices: others, reason: NOBODY_WORDS[why] }, false),
  );
  return { leaders, alone, summary: summaryWords(leaders.length, proposed.length, around.season.gaps.length) };
}

/** The day the need is suggested for, where the leader can do it and is proposed for nothing near it; or the first they can. */
function dayShown(suggested: string, { leader, date }: { leader: Reasons; date: string }, theirs: string[]): string {
  const isNear = theirs.some((one) => Math.abs(daysFrom(one, suggested)) <= 1);
  return leader.dates.includes(suggested) && !isNear ? suggested : date;
}

interface RowOf {
  gap: UrgentGap;
  date: string;
  /** Who could lead it, the best first. */
  choices: Reasons[];
  reason: string;
}

function soonest(a: { gap: UrgentGap; date?: string }, b: { gap: UrgentGap; date?: string }): number {
  const [first, second] = [a.date ?? a.gap.date, b.date ?? b.gap.date];
  return first === second ? (a.gap.need.id < b.gap.need.id ? -1 : 1) : first < second ? -1 : 1;
}

function rowModel(row: number, { gap, date, choices, reason }: RowOf, isProposed: boolean, { season, settings, kept }: Around) {
  const { need, area } = gap;
  const pick = kept?.picks.find((one) => one.need === need.id);
  const typed = pick && kept ? { ask: kept.faults[`rows[${pick.row}][ask]`], leader: kept.faults[`rows[${pick.row}][leader]`] } : {};
  const chosen = pick?.leaderId ?? choices[0]?.leaderId;
  const day = dateWords(date, settings.locale);
  return {
    field: `rows[${row}]`,
    id: `rows-${row}`,
    need: need.id,
    date,
    day,
    area: area.name,
    length: lengthWanted(need, settings.units) ?? 'any length',
    kind: need.dayKind === 'any' ? `Any day in ${monthWords(need.month, settings.locale)}` : KIND_WORDS[need.dayKind],
    what: `${area.name}, ${day}`,
    reason,
    ticked: kept ? pick !== undefined : isProposed,
    canAsk: choices.length > 0,
    fault: typed.ask ?? typed.leader ?? null,
    choices: choices.map((one) => ({
      value: one.leaderId,
      label: choiceWords(season.leaders.get(one.leaderId)?.name ?? '', one, settings.units),
      selected: one.leaderId === chosen,
    })),
  };
}

/** "Ask 3 people for 4 of the 9 walks that are missing." */
function summaryWords(people: number, filled: number, missing: number): string {
  if (missing === 0) return 'No walk is missing that nobody is asked for yet.';
  if (filled === 0)
    return missing === 1
      ? 'One walk is missing, and nobody is left to ask by your rules.'
      : `${missing} walks are missing, and nobody is left to ask by your rules.`;
  const which = filled === missing ? walkWords(filled) : `${filled} of the ${walkWords(missing)}`;
  return `Ask ${peopleWords(people)} for ${which} that ${missing === 1 ? 'is' : 'are'} missing.`;
}

/** What was asked, the latest first, with what can be done about it. */
export function askedModel(asks: StandingAsk[], settings: GroupSettings, now: (at: number) => string) {
  return asks.toReversed().map((ask) => ({
    id: ask.id,
    name: ask.name,
    area: ask.areaName,
    words: wantedWords({ dayKind: ask.dayKind, bestMetres: ask.bestMetres ?? 0, month: ask.month }, ask.date, settings),
    asked: now(ask.askedAt),
    state: STANDING_WORDS[ask.standing],
    open: ask.standing === 'open',
    posted: ask.standing === 'posted',
    href: ask.walkId === null ? null : `/walks/${ask.walkId}`,
  }));
}
