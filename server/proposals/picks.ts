import { type AssignInput, type AssignLeader, candidate, type Gap, type WhyNot } from '../calc/assign.js';
import { weekdayOf } from '../calc/assign-days.js';
import { type Faults, groups, line, lines, type Typed, ticked } from '../web/forms.js';

const LONGEST_NOTE = 500;
/** What a coordinator may know better than the rules. */
const MAY_BE_ASKED: ReadonlySet<WhyNot> = new Set<WhyNot>(['weekend', 'pledge']);

const FAULTS: Partial<Record<WhyNot, string>> = {
  area: 'does not go to this area. Choose another leader.',
  far: 'lives too far away. Choose another leader.',
  length: 'leads no walks of this length. Choose another leader.',
  day: 'does not lead on this day of the week. Choose another leader.',
  excused: 'is excused that month, or leads no walks in it. Choose another leader.',
  busy: 'leads another walk that day. Choose another leader.',
  declined: 'said not this time. Choose another leader.',
};

/** A ticked row of the form: whom to ask for which gap, and on which day it was shown. */
export interface Pick {
  /** The row's number on the form. */
  row: number;
  need: string;
  leaderId: number;
  date: string;
}

/** A form of proposals as it was typed. */
export interface PickForm {
  picks: Pick[];
  note: string;
}

/** Reads the ticked rows. Pure. */
export function readPicks(typed: Typed): PickForm {
  const picks = groups(typed, 'rows').flatMap((row, index): Pick[] => {
    if (!ticked(row, 'ask')) return [];
    return [{ row: index, need: line(row, 'need'), leaderId: Number(line(row, 'leader')), date: line(row, 'date') }];
  });
  return { picks, note: lines(typed, 'note') };
}

/** A pick that may be sent. */
export interface Sendable {
  need: string;
  leaderId: number;
  date: string;
}

/** Whom a need is asked of already: the leader, and their name. */
export type AskedAlready = ReadonlyMap<string, { toPersonId: number; name: string }[]>;

/**
 * What of a form is to be sent, or what is wrong with it, by the fields of its rows. What was asked of the same leader already is neither: a form posted
 * twice asks once. Pure.
 * @param names of the leaders who may be asked
 */
export function checkPicks(
  { picks, note }: PickForm,
  input: AssignInput,
  around: { names: ReadonlyMap<number, string>; asked: AskedAlready },
): { send: Sendable[] } | { faults: Faults } {
  const faults: Faults = {};
  const send: Sendable[] = [];
  if (picks.length === 0) faults.rows = 'Tick at least one walk.';
  if (note.length > LONGEST_NOTE) faults.note = `Keep it under ${LONGEST_NOTE} characters.`;
  const gaps = new Map(input.gaps.map((gap) => [gap.id, gap]));
  const taken = new Set<string>();
  const needs = new Set<string>();
  for (const pick of picks) {
    if (needs.has(pick.need)) continue;
    needs.add(pick.need);
    const already = around.asked.get(pick.need) ?? [];
    if (already.some(({ toPersonId }) => toPersonId === pick.leaderId)) continue;
    const gap = gaps.get(pick.need);
    const found = gap && around.names.has(pick.leaderId) ? dayOf(pick, gap, input, taken) : 'nobody';
    const name = around.names.get(pick.leaderId) ?? '';
    if (!gap) faults[`rows[${pick.row}][ask]`] = goneWords(already[0]?.name);
    else if (typeof found === 'string') faults[`rows[${pick.row}][leader]`] = found === 'nobody' ? 'Choose a leader.' : `${name} ${found}`;
    else {
      taken.add(`${pick.leaderId} ${found.date}`);
      send.push({ need: pick.need, leaderId: pick.leaderId, date: found.date });
    }
  }
  return Object.keys(faults).length > 0 ? { faults } : { send };
}

function goneWords(askedOf: string | undefined): string {
  return askedOf === undefined
    ? 'This walk is not missing any more. Untick it.'
    : `${askedOf} was asked for this walk meanwhile. Untick it.`;
}

/** The day to ask for: the one that was shown, or the first that the leader can do and is not asked for by this very form; or why there is none. */
function dayOf(pick: Pick, gap: Gap, { leaders, rules }: AssignInput, taken: ReadonlySet<string>): { date: string } | string {
  const leader = leaders.find(({ id }) => id === pick.leaderId);
  if (!leader) return 'nobody';
  const found = leader.notFor?.includes(gap.id) ? 'declined' : candidate(leader, gap, rules);
  if (typeof found === 'string' && !MAY_BE_ASKED.has(found)) return FAULTS[found] ?? 'nobody';
  const possible = typeof found === 'string' ? gap.dates.filter((date) => canLead(leader, date)) : found.dates;
  const free = possible.filter((date) => !taken.has(`${leader.id} ${date}`));
  const date = free.find((one) => one === pick.date) ?? free[0];
  return date === undefined ? 'is asked for another walk that day. Choose another leader.' : { date };
}

function canLead({ days, months, busyDates }: AssignLeader, date: string): boolean {
  return days.includes(weekdayOf(date)) && months[date.slice(0, 7)] !== undefined && !busyDates.includes(date);
}
