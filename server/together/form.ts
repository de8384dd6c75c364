import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import type { OfferKind } from './content.js';
import type { Answer, NewOffer } from './offers.js';
import { type Candidate, MOST_NOTE, offerFault } from './rules.js';

/** Reads what a leader asks of another. Pure. @param by who asks, by number */
export function readOffer(typed: Typed, among: Candidate[], by: number): { form: NewOffer } | { faults: Faults } {
  const [kind, note] = [line(typed, 'kind'), line(typed, 'note')];
  const candidate = among.find((one) => String(one.personId) === line(typed, 'person'));
  const faults: Faults = {};
  if (!isKind(kind)) faults.kind = 'Choose what you ask: to share the walk, or to lead it instead.';
  const fault = offerFault(candidate, isKind(kind) ? kind : 'hand-over', by);
  if (fault !== null) faults.person = fault;
  if (note.length > MOST_NOTE) faults.note = tooLong(note);
  if (Object.keys(faults).length > 0 || !isKind(kind) || !candidate) return { faults };
  return { form: { kind, toPersonId: candidate.personId, stays: kind === 'hand-over' && ticked(typed, 'stays'), note } };
}

function isKind(kind: string): kind is OfferKind {
  return kind === 'co-leader' || kind === 'hand-over';
}

/** Reads an answer to an offer. Pure. */
export function readAnswer(typed: Typed): { form: Answer } | { faults: Faults } {
  const [answer, words] = [line(typed, 'answer'), line(typed, 'words')];
  const faults: Faults = {};
  if (answer !== 'accept' && answer !== 'decline') faults.answer = 'Press one of the two buttons.';
  if (words.length > MOST_NOTE) faults.words = tooLong(words);
  return Object.keys(faults).length > 0 ? { faults } : { form: { accept: answer === 'accept', words } };
}

function tooLong(text: string): string {
  return `Keep it to ${MOST_NOTE} characters; it has ${text.length}.`;
}
