import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { cookieOptions, sessionCookie } from './cookies.js';
import { endAllSessions, endSession } from './sessions.js';

export function signOut(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    services.db.write((tx) => endSession(tx, request.cookies[sessionCookie(services.config)]));
    return gone(services, reply);
  };
}

/** Ends the sessions of every browser, for someone who left one signed in somewhere. */
export function signOutEverywhere(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const { person } = request.visitor;
    if (person) services.db.write((tx) => endAllSessions(tx, person.id));
    return gone(services, reply);
  };
}

/** Whatever the browser keeps of the site goes, too: a roll on a phone. Browsers hear it over https only; elsewhere a script on the page does it. */
function gone(services: Services, reply: FastifyReply): FastifyReply {
  if (services.config.baseUrl.startsWith('https:')) reply.header('Clear-Site-Data', '"cache", "storage"');
  return reply.clearCookie(sessionCookie(services.config), cookieOptions(services.config)).redirect('/', 303);
}
