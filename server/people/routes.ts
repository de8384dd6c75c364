import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { askToSignIn, signInPage } from './ask-pages.js';
import { firstRunPage, makeGroup } from './first-run-pages.js';
import { goOnIfSignedIn, linkPage, useLink } from './link-pages.js';
import { meJson } from './me-json.js';
import { mePage, saveMe } from './me-pages.js';
import { signOut, signOutEverywhere } from './sign-out.js';

/** Asking for mails and trying codes: requests a minute from one address. */
const TRIES_A_MINUTE = 20;

export function peopleRoutes(app: FastifyInstance, services: Services): void {
  app.get('/sign-in', may('anyone'), signInPage(services));
  app.post('/sign-in', may('anyone', TRIES_A_MINUTE), askToSignIn(services));
  app.get('/sign-in/:token', may('anyone', TRIES_A_MINUTE), linkPage(services));
  app.post('/sign-in/:token', { ...may('anyone', TRIES_A_MINUTE), onRequest: goOnIfSignedIn(services) }, useLink(services));
  app.post('/sign-out', may('anyone'), signOut(services));
  app.post('/sign-out-everywhere', may('signedIn'), signOutEverywhere(services));
  app.get('/me', may('signedIn'), mePage(services));
  app.post('/me', may('signedIn'), saveMe(services));
  app.get('/me.json', may('signedIn'), meJson(services));
  app.get('/first-run', may('firstRun'), firstRunPage());
  app.post('/first-run', may('firstRun', TRIES_A_MINUTE), makeGroup(services));
}
