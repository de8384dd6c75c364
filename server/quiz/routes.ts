import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { bankPages } from './bank-pages.js';
import { takePages } from './take-pages.js';

/** The leaders' quiz: whoever is signed in takes it, coordinators keep its questions. */
export function quizRoutes(app: FastifyInstance, services: Services): void {
  const take = takePages(services);
  const bank = bankPages(services);
  app.get('/lead/join/quiz', may('signedIn'), take.about);
  app.post('/lead/join/quiz', may('signedIn'), take.start);
  app.get('/lead/join/quiz/:attempt', may('signedIn'), take.show);
  app.post('/lead/join/quiz/:attempt', may('signedIn'), take.answer);
  app.get('/coordinate/quiz', may('coordinator'), bank.list);
  app.get('/coordinate/quiz/new', may('coordinator'), bank.newForm);
  app.post('/coordinate/quiz/new', may('coordinator'), bank.postNew);
  app.get('/coordinate/quiz/:question', may('coordinator'), bank.edit);
  app.post('/coordinate/quiz/:question', may('coordinator'), bank.postEdit);
  app.post('/coordinate/quiz/:question/retire', may('coordinator'), bank.retire);
}
