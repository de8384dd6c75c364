import { type Faults, line, lines, type Typed } from '../web/forms.js';
import { NOTE_FIELDS, type NoteField, type StandingNote } from './rules.js';

const MOST = { title: 80, body: 2000 } as const;

/** A note as its form is to show it again. */
export interface NoteForm {
  title: string;
  body: string;
  goesInto: string;
}

/** Reads a posted note: the note, or a sentence for each field to mend. Pure. */
export function readNote(typed: Typed): { form: NoteForm; note: Omit<StandingNote, 'id'> | null; faults: Faults } {
  const form = { title: line(typed, 'title'), body: lines(typed, 'body'), goesInto: line(typed, 'goesInto') };
  const faults: Faults = {};
  if (form.title === '') faults.title = 'Give the note a title, such as "Parking at the weir". Only you see it.';
  else if (form.title.length > MOST.title) faults.title = tooLong(form.title, MOST.title);
  if (form.body === '') faults.body = 'Type the paragraph that goes into your walks.';
  else if (form.body.length > MOST.body) faults.body = tooLong(form.body, MOST.body);
  const { goesInto } = form;
  if (!isField(goesInto)) faults.goesInto = 'Choose where in the walk it goes.';
  const sound = Object.keys(faults).length === 0 && isField(goesInto);
  return { form, note: sound ? { title: form.title, body: form.body, goesInto } : null, faults };
}

function isField(name: string): name is NoteField {
  return Object.hasOwn(NOTE_FIELDS, name);
}

function tooLong(text: string, most: number): string {
  return `Keep this under ${most.toLocaleString('en')} characters; it has ${text.length.toLocaleString('en')}.`;
}
