import type { FastifyReply, FastifyRequest } from 'fastify';
import { HANDBOOK, handbookPage } from '../handbook/pages.js';
import { handbookProgress } from '../handbook/store.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Problem } from '../web/errors.js';
import { type Faults, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { answerField, answerLabel, readAnswers } from './answers.js';
import { bankSize } from './bank-store.js';
import { chanceFrom } from './chance.js';
import { rightNeeded } from './rules.js';
import { type Asked, type Attempt, endAttempt, ownAttempt, quizState, startAttempt } from './store.js';

const QUIZ = '/lead/join/quiz';

/** Pages on which someone takes the leaders' quiz. */
export function takePages(services: Services) {
  const { db, now, settings, secret } = services;

  function about(request: FastifyRequest, reply: FastifyReply) {
    const { id } = signedInPerson(request);
    const { quizQuestions, quizPassPercent } = settings();
    const [size, state, progress] = [bankSize(db.q), quizState(db.q, id), handbookProgress(db.q, id)];
    const questions = Math.min(size, quizQuestions);
    const at = (ms: number) => when(ms, homeZone(services), settings());
    const unread = HANDBOOK.find((one) => one.slug === progress.next);
    return page(request, reply, 'quiz/about', {
      title: "The leaders' quiz",
      narrow: true,
      empty: size === 0,
      questions,
      one: questions === 1,
      short: size < quizQuestions,
      needed: rightNeeded(questions, quizPassPercent),
      open: state.open === null ? null : `${QUIZ}/${state.open}`,
      passed: state.passedAt === null ? null : at(state.passedAt),
      last: state.last ? { ...state.last, href: `${QUIZ}/${state.last.id}`, at: at(state.last.endedAt) } : null,
      handbook: { read: progress.read, of: progress.of, next: unread ? { href: `/handbook/${unread.slug}`, title: unread.title } : null },
    });
  }

  function start(request: FastifyRequest, reply: FastifyReply) {
    const { id } = signedInPerson(request);
    const { quizQuestions: questions, quizPassPercent: passPercent } = settings();
    const chance = chanceFrom(secret());
    const attempt = db.write((tx) => startAttempt(tx, id, { questions, passPercent, now: now(), chance }));
    return reply.redirect(attempt === null ? QUIZ : `${QUIZ}/${attempt}`, 303);
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const attempt = own(request);
    return attempt.endedAt === null ? form(request, reply, attempt, new Map(), {}) : result(request, reply, attempt);
  }

  function form(request: FastifyRequest, reply: FastifyReply, attempt: Attempt, chosen: ReadonlyMap<number, number>, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'quiz/attempt', {
      title: "The leaders' quiz",
      errorTitle: refused,
      narrow: true,
      action: `${QUIZ}/${attempt.id}`,
      count: attempt.asked.length,
      needed: rightNeeded(attempt.asked.length, attempt.passPercent),
      questions: attempt.asked.map((one) => ({
        field: answerField(one.place),
        place: one.place,
        question: one.question,
        error: faults[answerField(one.place)],
        answers: one.answerOrder.map((answer, index) => ({
          // The first bears the field's own id: the error summary leads there.
          id: index === 0 ? answerField(one.place) : `${answerField(one.place)}-${index + 1}`,
          value: index + 1,
          text: one.answers[answer],
          checked: chosen.get(one.place) === answer,
        })),
      })),
      errors: summary(faults, answerLabel),
    });
  }

  function result(request: FastifyRequest, reply: FastifyReply, attempt: Attempt) {
    const of = attempt.asked.length;
    const wrong = attempt.asked.filter((one) => one.chosen !== one.rightAnswer);
    return page(request, reply, 'quiz/result', {
      title: attempt.passed ? 'You passed the quiz' : 'Not passed yet',
      narrow: true,
      passed: attempt.passed,
      right: attempt.rightCount,
      of,
      needed: rightNeeded(of, attempt.passPercent),
      ended: when(attempt.endedAt ?? 0, homeZone(services), settings()),
      wrong: wrong.map(wrongAnswer),
    });
  }

  function answer(request: FastifyRequest, reply: FastifyReply) {
    const refused = db.write((tx) => {
      const attempt = own(request, tx);
      // Sent twice, or from an old tab: what was answered first stays.
      if (attempt.endedAt !== null) return null;
      const { chosen, faults } = readAnswers(request.body as Typed, attempt.asked);
      if (Object.keys(faults).length > 0) return { attempt, chosen, faults };
      endAttempt(tx, attempt, chosen, now());
      return null;
    });
    if (refused) return form(request, reply, refused.attempt, refused.chosen, refused.faults);
    const { attempt: id } = request.params as { attempt: string };
    return reply.redirect(`${QUIZ}/${id}`, 303);
  }

  function own(request: FastifyRequest, q = db.q): Attempt {
    const { attempt: id } = request.params as { attempt: string };
    const attempt = /^[1-9]\d{0,8}$/.test(id) ? ownAttempt(q, signedInPerson(request).id, Number(id)) : undefined;
    if (!attempt) throw Problem.notFound('There is no such attempt of yours.', [{ href: QUIZ, label: 'Go to the quiz' }]);
    return attempt;
  }

  return { about, start, show, answer };
}

function wrongAnswer({ place, page: slug, question, answers, rightAnswer, chosen, explanation }: Asked) {
  const source = handbookPage(slug);
  return {
    place,
    question,
    given: chosen === null ? null : answers[chosen],
    right: answers[rightAnswer],
    explanation,
    handbook: source ? { href: `/handbook/${source.slug}`, title: source.title } : null,
  };
}
