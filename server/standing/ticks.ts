import { several, type Typed } from '../web/forms.js';
import { firstWords, NOTE_FIELDS, type StandingNote } from './rules.js';

/** The leader's notes as the walk form shows them: a tick each, with where it goes and its first words. */
export function noteTicks(notes: StandingNote[], typed: Typed) {
  const ticked = several(typed, 'note');
  return notes.map((note) => ({
    id: note.id,
    title: note.title,
    into: NOTE_FIELDS[note.goesInto],
    first: firstWords(note.body),
    checked: ticked.includes(String(note.id)),
  }));
}
