import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { privatePages } from './private-pages.js';
import { signUpPages } from './sign-up-pages.js';
import { signingPages } from './signing-pages.js';

const SIGN_UPS_A_MINUTE = 20;
const PRIVATE_PAGES_A_MINUTE = 60;

export function signUpRoutes(app: FastifyInstance, services: Services): void {
  const signUp = signUpPages(services);
  const own = privatePages(services);
  app.get('/walks/:walk/sign-up', may('anyone'), signUp.show);
  app.post('/walks/:walk/sign-up', may('anyone', SIGN_UPS_A_MINUTE), signUp.post);
  app.get('/sign-ups/:token', may('bearer', PRIVATE_PAGES_A_MINUTE), own.show);
  app.post('/sign-ups/:token', may('bearer', PRIVATE_PAGES_A_MINUTE), own.change);
  app.post('/sign-ups/:token/withdraw', may('bearer', PRIVATE_PAGES_A_MINUTE), own.withdraw);
  app.post('/sign-ups/:token/proof', may('bearer', PRIVATE_PAGES_A_MINUTE), own.prove);
  app.post('/sign-ups/:token/ask', may('bearer', PRIVATE_PAGES_A_MINUTE), own.askAgain);
  const signing = signingPages(services);
  app.get('/waivers/:token', may('bearer', PRIVATE_PAGES_A_MINUTE), signing.show);
  app.post('/waivers/:token', may('bearer', SIGN_UPS_A_MINUTE), signing.sign);
  app.post('/waivers/:token/leave', may('bearer', SIGN_UPS_A_MINUTE), signing.leave);
}
