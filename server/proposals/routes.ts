import type { FastifyInstance } from 'fastify';
import type { AssignmentSolver } from '../coverage/solve.js';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { askPages } from './ask-pages.js';
import { proposalPages } from './pages.js';

const PRIVATE_PAGES_A_MINUTE = 60;
const ANSWERS_A_MINUTE = 20;

export function proposalRoutes(app: FastifyInstance, services: Services, solver: AssignmentSolver): void {
  const proposals = proposalPages(services, solver);
  app.get('/coordinate/proposals', may('coordinator'), proposals.show);
  app.post('/coordinate/proposals', may('coordinator'), proposals.post);
  const ask = askPages(services);
  app.get('/asks/:token', may('bearer', PRIVATE_PAGES_A_MINUTE), ask.show);
  app.post('/asks/:token', may('bearer', ANSWERS_A_MINUTE), ask.post);
}
