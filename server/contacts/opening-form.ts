import { type Faults, line, type Typed } from '../web/forms.js';
import { REASONS, type Reason, type Why } from './reasons.js';

export const MOST_WHY = 200;
const LEAST_HAPPENED = 10;
/** What the form sends for everyone. A program that sends no `member`, or an empty one, means everyone, too; the form (`asks`) asks for a choice. */
export const EVERYONE = 'everyone';

export const OPENING_LABELS: Record<string, string> = { reason: 'Why', why: 'In a few words', member: 'Whose details' };
export const INCIDENT_LABELS: Record<string, string> = { why: 'What happened', member: 'Whose details' };

/** Reads what a leader posts within the window: a reason, and one person or (null) everyone. Pure. @param known the members on the walk */
export function readOpening(typed: Typed, known: ReadonlySet<number>): (Why & { member: number | null }) | { faults: Faults } {
  const faults: Faults = {};
  const reason = reasonOf(line(typed, 'reason'));
  const words = line(typed, 'why');
  if (reason === null) faults.reason = 'Say why you open them.';
  if (reason === 'other' && words === '') faults.why = 'Say why, in a few words.';
  checkLength(words, faults);
  const asked = line(typed, 'member');
  const everyone = asked === EVERYONE || (asked === '' && line(typed, 'asks') === '');
  const member = memberOf(asked, known);
  if (!everyone && member === null) faults.member = 'Choose one person on this walk, or everyone.';
  if (Object.keys(faults).length > 0 || reason === null) return { faults };
  return { reason, why: words === '' ? null : words, member };
}

/** Reads what a coordinator posts for an incident: one person, and what happened. Pure. @param known the members on the walk */
export function readIncident(typed: Typed, known: ReadonlySet<number>): (Why & { member: number }) | { faults: Faults } {
  const faults: Faults = {};
  const member = memberOf(line(typed, 'member'), known);
  if (member === null) faults.member = 'Choose the one person it happened to.';
  const why = line(typed, 'why');
  if ([...why].length < LEAST_HAPPENED) faults.why = 'Write what happened, in ten characters or more.';
  checkLength(why, faults);
  return Object.keys(faults).length > 0 || member === null ? { faults } : { reason: 'incident', why, member };
}

function checkLength(why: string, faults: Faults): void {
  if (why.length > MOST_WHY) faults.why = `Keep this under ${MOST_WHY} characters; it has ${why.length}.`;
}

function reasonOf(typed: string): Reason | null {
  return (Object.keys(REASONS) as Reason[]).find((one) => one === typed) ?? null;
}

function memberOf(typed: string, known: ReadonlySet<number>): number | null {
  const id = /^\d{1,15}$/.test(typed) ? Number(typed) : Number.NaN;
  return known.has(id) ? id : null;
}
