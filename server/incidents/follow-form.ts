import { type Faults, isDate, line, lines, type Typed } from '../web/forms.js';
import { readNote } from './form.js';
import { isOutcome, type Outcome } from './words.js';

export const FOLLOW_LABELS: Record<string, string> = {
  dueOn: 'Look at it again on',
  assigned: 'Who follows it up',
  note: 'Note',
  outcome: 'How it ended',
};

/** Reads when an incident is looked at again, and by whom. Pure. @param coordinators their numbers */
export function readFollowUp(
  typed: Typed,
  coordinators: ReadonlySet<number>,
): { dueOn: string; assignedTo: number | null } | { faults: Faults } {
  const faults: Faults = {};
  const dueOn = line(typed, 'dueOn');
  if (!isDate(dueOn)) faults.dueOn = 'Type the day, such as 2026-12-01.';
  const asked = line(typed, 'assigned');
  const assignedTo = coordinators.has(Number(asked)) ? Number(asked) : null;
  if (asked !== '' && assignedTo === null) faults.assigned = 'Choose a coordinator, or nobody yet.';
  return Object.keys(faults).length > 0 ? { faults } : { dueOn, assignedTo };
}

/** Reads how an incident ended, with words where there are some. Pure. */
export function readClosing(typed: Typed): { outcome: Outcome; note: string | null } | { faults: Faults } {
  const faults: Faults = {};
  const outcome = line(typed, 'outcome');
  if (!isOutcome(outcome)) faults.outcome = 'Choose how it ended.';
  const note = lines(typed, 'closing') === '' ? null : readNote(typed, 'closing');
  if (note && 'faults' in note) Object.assign(faults, note.faults);
  if (Object.keys(faults).length > 0 || !isOutcome(outcome)) return { faults };
  return { outcome, note: note && 'note' in note ? note.note : null };
}
