import type { FastifyReply, FastifyRequest } from 'fastify';
import { formerLeaderWords } from '../commitment/former.js';
import { HANDBOOK_MINUTES } from '../handbook/pages.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { oweContext } from '../walks/save.js';
import { type Faults, line, lines, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { agreementOf, lastAgreement } from './agreement-store.js';
import { readWords } from './form.js';
import { answeredLetter } from './letters.js';
import { oweCoordinators } from './owe.js';
import { progressOf } from './progress.js';
import { isPostingOpen, maySignNow } from './renewal.js';
import { stepRows } from './step-rows.js';
import { type ApplicationRow, applicationById, changeOpen, latestApplication, openApplication } from './store.js';

/** How someone comes to lead walks: what it means, and the steps for whoever is on the way. */
export function joinPages(services: Services) {
  const { db, settings, now } = services;
  const at = (ms: number) => when(ms, homeZone(services), settings());

  function show(request: FastifyRequest, reply: FastifyReply) {
    return answer(request, reply, {}, {});
  }

  function answer(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { person } = request.visitor;
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'joining/join', {
      title: 'Lead walks',
      handbookMinutes: HANDBOOK_MINUTES,
      errorTitle: refused,
      narrow: true,
      faults,
      errors: summary(faults, () => 'Your answer'),
      answer: lines(typed, 'answer'),
      left: line(request.query as Typed, 'left') !== '',
      ...(person ? (person.leader ? ledBy(person) : stepsOf(person)) : { visitor: true }),
    });
  }

  /** For someone who leads: that they do, and what is due. */
  function ledBy(person: { id: number; email: string }) {
    const agreement = agreementOf(db.q, person);
    if (!agreement) return {};
    const isOpen = isPostingOpen(agreement, now());
    return {
      leads: {
        signed: lastAgreement(db.q, person.email) !== undefined,
        due: at(agreement.dueAt),
        isOpen,
        maySign: maySignNow(agreement, now()),
      },
    };
  }

  function stepsOf(person: { id: number; email: string }) {
    const application = latestApplication(db.q, person.id);
    const rows = stepRows(progressOf(db.q, { now: now(), settings: settings() }, { ...person, application }));
    return {
      application: application ? standing(application) : null,
      formerly: formerLeaderWords(db.q, person.id, settings().locale),
      steps: rows,
      isAsked: application?.state === 'open' && application.askedAt !== null && application.answeredAt === null,
      next: rows.find((row) => row.mark === 'next') ?? null,
    };
  }

  function standing({ state, question, askedAt, answer: given, words, decidedAt }: ApplicationRow) {
    return {
      isOpen: state === 'open',
      declined: state === 'declined' && decidedAt !== null ? { words, at: at(decidedAt) } : null,
      question: state === 'open' && question !== '' && askedAt !== null ? { text: question, at: at(askedAt), answered: given } : null,
    };
  }

  /** What an applicant answers to what was asked; once a question. */
  function giveAnswer(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const person = signedInPerson(request);
    const open = openApplication(db.q, person.id);
    if (!open || open.askedAt === null || open.answeredAt !== null) return reply.redirect('/lead/join', 303);
    const faults: Faults = {};
    const given = readWords(typed, 'answer', 'Type your answer.', faults);
    if (Object.keys(faults).length > 0) return answer(request, reply, typed, faults);
    db.write((tx) => {
      const found = applicationById(tx, open.id);
      // Asked anew, decided or answered meanwhile: what stands there now goes before.
      if (found?.application.askedAt !== open.askedAt || found.application.answeredAt !== null) return;
      if (!changeOpen(tx, open.id, { answer: given, answeredAt: now() })) return;
      const letter = answeredLetter({ ...found.application, areaName: found.areaName }, open.question, given);
      oweCoordinators(tx, oweContext(services), { kind: 'application', event: `application-answered:${open.id}:${open.askedAt}`, letter });
    });
    services.mailOwed();
    return reply.redirect('/lead/join', 303);
  }

  return { show, giveAnswer };
}
