import { type Faults, lines, several, type Typed } from '../web/forms.js';

/** The fields of the walk form that a standing note may go into, in the order offered, with their names on screens. */
export const NOTE_FIELDS = { description: 'About the walk', bring: 'What to bring', directions: 'Directions' } as const;
export type NoteField = keyof typeof NOTE_FIELDS;

/** A paragraph that a leader keeps. */
export interface StandingNote {
  id: number;
  title: string;
  body: string;
  goesInto: NoteField;
}

/** How many characters each field holds. */
export type Limits = Record<NoteField, number>;

/** What is typed between two paragraphs of a field: directions and things to bring are lists, one thing a line. */
const BETWEEN: Record<NoteField, string> = { description: '\n\n', bring: '\n', directions: '\n' };

/**
 * The form as typed, with each ticked note's paragraph at the end of its field and its tick gone. A paragraph that stands there already
 * is not put twice. One that does not fit leaves the field as it was typed and keeps its tick, and the field is told why. Pure.
 * @param typed `note`: the numbers of the notes that are ticked
 * @param notes the leader's own, in their order
 */
export function withNotes(typed: Typed, notes: StandingNote[], limits: Limits): { typed: Typed; faults: Faults } {
  const ticked = several(typed, 'note');
  const faults: Faults = {};
  const left: string[] = [];
  const fields: Partial<Record<NoteField, string>> = {};
  for (const note of notes.filter(({ id }) => ticked.includes(String(id)))) {
    const field = note.goesInto;
    const before = fields[field] ?? lines(typed, field);
    const after = withParagraph(before, note);
    if (after === before || after.length <= limits[field]) {
      fields[field] = after;
      continue;
    }
    left.push(String(note.id));
    faults[field] ??= tooLong(note.title, after.length, limits[field]);
  }
  return { typed: { ...typed, ...fields, note: left }, faults };
}

function withParagraph(text: string, { body, goesInto }: StandingNote): string {
  if (text === '') return body;
  return `\n${text}\n`.includes(`\n${body}\n`) ? text : `${text}${BETWEEN[goesInto]}${body}`;
}

function tooLong(title: string, length: number, limit: number): string {
  const figure = (count: number) => count.toLocaleString('en');
  return `With "${title}" this would have ${figure(length)} characters, and ${figure(limit)} fit. Shorten it, or untick the note.`;
}

const MOST_WORDS_SHOWN = 70;

/** The first words of a text, in one line: enough to know it by. */
export function firstWords(text: string): string {
  const line = text.replace(/\s+/g, ' ');
  if (line.length <= MOST_WORDS_SHOWN) return line;
  const cut = line.slice(0, MOST_WORDS_SHOWN);
  const blank = cut.lastIndexOf(' ');
  return `${cut.slice(0, blank > 0 ? blank : MOST_WORDS_SHOWN).toWellFormed()}…`;
}
