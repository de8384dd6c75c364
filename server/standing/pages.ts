import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { type NoteForm, readNote } from './form.js';
import { firstWords, NOTE_FIELDS, type StandingNote } from './rules.js';
import { addNote, changeNote, deleteNote, MOST_NOTES, noteOf, notesOf } from './store.js';

const LIST = '/lead/notes';
const LABELS: Record<string, string> = { title: 'Title', body: 'Text', goesInto: 'Goes into' };
const BLANK: NoteForm = { title: '', body: '', goesInto: 'description' };

/** A leader's standing notes: paragraphs kept once, and put into walks by a tick. */
export function notePages(services: Services) {
  const { db, now } = services;

  function list(request: FastifyRequest, reply: FastifyReply) {
    return showList(request, reply, BLANK, {});
  }

  function showList(request: FastifyRequest, reply: FastifyReply, form: NoteForm, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const notes = notesOf(db.q, signedIn(request));
    return page(request, refused ? reply.code(422) : reply, 'standing/list', {
      title: 'Standing notes',
      errorTitle: refused,
      narrow: true,
      notes: notes.map((note) => ({ ...note, first: firstWords(note.body), into: NOTE_FIELDS[note.goesInto] })),
      saved: notes.find((note) => String(note.id) === line(request.query as Typed, 'saved')),
      isDeleted: line(request.query as Typed, 'saved') === 'deleted',
      full: notes.length >= MOST_NOTES,
      ...formModel(form, faults),
    });
  }

  function formModel(form: NoteForm, faults: Faults) {
    return {
      form,
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
      fields: Object.entries(NOTE_FIELDS).map(([value, label]) => ({ value, label, checked: form.goesInto === value })),
    };
  }

  function add(request: FastifyRequest, reply: FastifyReply) {
    const read = readNote(request.body as Typed);
    const { note } = read;
    if (!note) return showList(request, reply, read.form, read.faults);
    const id = db.write((tx) => addNote(tx, signedIn(request), note, now()));
    if (id === null) return showList(request, reply, read.form, { title: `You keep ${MOST_NOTES} notes already. Delete one first.` });
    return reply.redirect(`${LIST}?saved=${id}`, 303);
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const note = found(request);
    return showOne(request, reply, note, note, {});
  }

  function showOne(request: FastifyRequest, reply: FastifyReply, note: StandingNote, form: NoteForm, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'standing/one', {
      title: `Change the note "${note.title}"`,
      errorTitle: refused,
      narrow: true,
      note,
      ...formModel(form, faults),
    });
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const personId = signedIn(request);
    if (line(typed, 'intent') === 'delete') {
      // Deleting twice is no mistake of anyone's.
      db.write((tx) => deleteNote(tx, personId, numberOf(request)));
      return reply.redirect(`${LIST}?saved=deleted`, 303);
    }
    const before = found(request);
    const { form, note, faults } = readNote(typed);
    if (!note) return showOne(request, reply, before, form, faults);
    db.write((tx) => changeNote(tx, personId, before.id, note));
    return reply.redirect(`${LIST}?saved=${before.id}`, 303);
  }

  function found(request: FastifyRequest): StandingNote {
    const note = noteOf(db.q, signedIn(request), numberOf(request));
    if (!note) throw Problem.notFound('There is no such note of yours. It may be deleted.', [{ href: LIST, label: 'Your standing notes' }]);
    return note;
  }

  return { list, add, one, change };
}

function numberOf(request: FastifyRequest): number {
  return Number((request.params as { note: string }).note);
}
