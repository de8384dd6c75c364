import type { FastifyReply, FastifyRequest } from 'fastify';
import { HANDBOOK, handbookPage } from '../handbook/pages.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { fullWhen } from '../web/when.js';
import { asTyped, QUESTION_LABELS, readQuestion, type TypedQuestion, typedQuestion } from './bank-form.js';
import {
  bank,
  type KeptQuestion,
  keepQuestion,
  newestOf,
  question,
  retiredQuestions,
  retireQuestion,
  type WrittenQuestion,
} from './bank-store.js';

const LIST = '/coordinate/quiz';
const MOST_RETIRED_SHOWN = 30;
const EMPTY: TypedQuestion = { page: '', question: '', answers: ['', '', '', '', ''], right: '', explanation: '' };

interface Shown {
  typed: TypedQuestion;
  faults?: Faults;
  /** The question that is edited; null for a new one. */
  edited: KeptQuestion | null;
  /** What became of the edited question while they were writing. */
  meanwhile?: string;
}

/** Pages on which coordinators keep the bank of questions. */
export function bankPages(services: Services) {
  const { db, now, settings } = services;

  function list(request: FastifyRequest, reply: FastifyReply) {
    const query = request.query as Typed;
    const rows = bank(db.q).map((row) => ({ ...row, href: `${LIST}/${row.id}`, wrongWords: wrongWords(row) }));
    const known = new Set(HANDBOOK.map(({ slug }) => slug));
    const asked = settings().quizQuestions;
    return page(request, reply, 'quiz/bank', {
      title: "The leaders' quiz",
      saved: line(query, 'saved') !== '',
      retiredJust: line(query, 'retired') !== '',
      count: rows.length,
      one: rows.length === 1,
      asked,
      passPercent: settings().quizPassPercent,
      short: rows.length < asked,
      pages: HANDBOOK.map(({ slug, title }) => ({ slug, title, questions: rows.filter((row) => row.page === slug) })),
      elsewhere: rows.filter((row) => !known.has(row.page)),
      retired: retiredQuestions(db.q, MOST_RETIRED_SHOWN).map((row) => ({ ...row, href: `${LIST}/${row.id}` })),
    });
  }

  function form(request: FastifyRequest, reply: FastifyReply, { typed, faults = {}, edited, meanwhile }: Shown) {
    const refused = meanwhile !== undefined || Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'quiz/question-form', {
      title: edited ? 'Edit a question' : 'New question',
      errorTitle: refused,
      narrow: true,
      action: edited ? `${LIST}/${edited.id}` : `${LIST}/new`,
      edited: edited ? { ...shown(edited), href: `${LIST}/${edited.id}` } : null,
      meanwhile,
      pages: HANDBOOK.map(({ slug, title }) => ({ value: slug, label: title, selected: slug === typed.page })),
      form: typed,
      answers: typed.answers.map((text, index) => ({
        field: `answer${index + 1}`,
        place: index + 1,
        text,
        right: typed.right === String(index + 1),
        error: faults[`answer${index + 1}`],
      })),
      faults,
      errors: summary(meanwhile === undefined ? faults : { question: meanwhile }, (field) => QUESTION_LABELS[field] ?? ''),
    });
  }

  function newForm(request: FastifyRequest, reply: FastifyReply) {
    const query = request.query as Typed;
    const from = question(db.q, Number(line(query, 'from')) || 0);
    const typed = from ? asTyped(from) : { ...EMPTY, page: line(query, 'page') };
    return form(request, reply, { typed, edited: null });
  }

  function postNew(request: FastifyRequest, reply: FastifyReply) {
    const typed = typedQuestion(request.body as Typed);
    const read = readQuestion(typed);
    if ('faults' in read) return form(request, reply, { typed, faults: read.faults, edited: null });
    const by = { personId: signedInPerson(request).id, now: now() };
    db.write((tx) => keepQuestion(tx, read.question, null, by));
    return reply.redirect(`${LIST}?saved=1`, 303);
  }

  function edit(request: FastifyRequest, reply: FastifyReply) {
    const edited = asked(request);
    if (edited.retiredAt === null) return form(request, reply, { typed: asTyped(edited), edited });
    const newest = newestOf(db.q, edited.id);
    return page(request, reply, 'quiz/retired', {
      title: newest === edited.id ? 'A question out of use' : 'An earlier wording',
      narrow: true,
      ...shown(edited),
      newest: newest === edited.id ? null : `${LIST}/${newest}`,
      id: edited.id,
    });
  }

  /** Looked over and written in one transaction: of two coordinators who edit at once the second is told of the first. */
  function postEdit(request: FastifyRequest, reply: FastifyReply) {
    const typed = typedQuestion(request.body as Typed);
    const read = readQuestion(typed);
    const by = { personId: signedInPerson(request).id, now: now() };
    const standing = db.write((tx) => {
      const edited = asked(request, tx);
      if (edited.retiredAt === null && 'question' in read && !isSame(read.question, edited)) keepQuestion(tx, read.question, edited.id, by);
      return edited;
    });
    if (standing.retiredAt !== null) return tellOfOther(request, reply, standing, typed);
    if ('faults' in read) return form(request, reply, { typed, faults: read.faults, edited: standing });
    return reply.redirect(`${LIST}?saved=1`, 303);
  }

  /** Somebody else was first: what they made of it is shown, and what was typed is kept, to go over theirs with the next posting. */
  function tellOfOther(request: FastifyRequest, reply: FastifyReply, was: KeptQuestion, typed: TypedQuestion) {
    const newest = question(db.q, newestOf(db.q, was.id)) ?? was;
    const by = (name: string | null) => (name ? ` by ${name}` : '');
    if (newest.retiredAt !== null) {
      const meanwhile = `The question was taken out of use${by(newest.retiredByName)} while you were writing. Save it to bring yours in as a new one.`;
      return form(request, reply, { typed, edited: null, meanwhile });
    }
    const meanwhile = `The question was changed${by(newest.byName)} while you were writing. See how it reads now, then take over what you need or save yours.`;
    return form(request, reply, { typed, edited: newest, meanwhile });
  }

  function retire(request: FastifyRequest, reply: FastifyReply) {
    const by = { personId: signedInPerson(request).id, now: now() };
    const { id, isDone } = db.write((tx) => {
      const { id } = asked(request, tx);
      return { id, isDone: retireQuestion(tx, id, by) };
    });
    return reply.redirect(isDone ? `${LIST}?retired=1` : `${LIST}/${id}`, 303);
  }

  function asked(request: FastifyRequest, q = db.q): KeptQuestion {
    const { question: id } = request.params as { question: string };
    const kept = /^[1-9]\d{0,8}$/.test(id) ? question(q, Number(id)) : undefined;
    if (!kept) throw Problem.notFound('There is no such question.', [{ href: LIST, label: 'See all questions' }]);
    return kept;
  }

  /** A question as it is read, with its story. */
  function shown(kept: KeptQuestion) {
    const at = (ms: number) => fullWhen(ms, homeZone(services), settings());
    const source = handbookPage(kept.page);
    return {
      question: kept.question,
      answers: kept.answers.map((text, index) => ({ text, right: index === kept.rightAnswer })),
      explanation: kept.explanation,
      handbook: source ? { title: source.title, href: `/handbook/${source.slug}` } : null,
      written:
        kept.createdAt === null ? 'It came with Waymeet.' : `Written${kept.byName ? ` by ${kept.byName}` : ''}, ${at(kept.createdAt)}.`,
      retired:
        kept.retiredAt === null ? null : `Out of use since ${at(kept.retiredAt)}${kept.retiredByName ? `, by ${kept.retiredByName}` : ''}.`,
    };
  }

  return { list, newForm, postNew, edit, postEdit, retire };
}

/** "3 of 12 wrong (25%)"; '' where nobody has answered yet. */
function wrongWords({ answered, wrong }: { answered: number; wrong: number }): string {
  return answered === 0 ? '' : `${wrong} of ${answered} wrong (${Math.round((100 * wrong) / answered)}%)`;
}

/** Nothing was changed: the question stays, with how often it was answered wrong. */
function isSame(one: WrittenQuestion, other: WrittenQuestion): boolean {
  const words = ({ page, question, answers, rightAnswer, explanation }: WrittenQuestion) =>
    JSON.stringify([page, question, answers, rightAnswer, explanation]);
  return words(one) === words(other);
}
