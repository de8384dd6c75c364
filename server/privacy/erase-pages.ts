import type { FastifyReply, FastifyRequest } from 'fastify';
import { heldFor } from '../incidents/holds.js';
import { cookieOptions, sessionCookie } from '../people/cookies.js';
import { signedInPerson } from '../people/me-person.js';
import { refused } from '../people/refusal.js';
import type { Services } from '../services.js';
import { walkTitle } from '../walks/title.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { eraseFaults, type Standing } from './erase-rules.js';
import { eraseAtOwnWish } from './erase-self.js';
import { hasOtherCoordinator, type NamedWalk, standingPlaces, standingSignUps, walksStillLed } from './erase-store.js';

/** Erasing oneself: what goes and what stays, and then it is done. */
export function erasePages(services: Services) {
  const { db, settings, now } = services;

  function standing(person: Person): Standing {
    return {
      leads: walksStillLed(db.q, person.id, now()).map(named),
      lastCoordinator: person.coordinator && !hasOtherCoordinator(db.q, person.id),
    };
  }

  function linked(walk: NamedWalk) {
    const href = `/lead/walks/${walk.walkId}`;
    return { href, name: named(walk), coming: walk.gatherAt > now() ? { handOver: `${href}/together`, cancel: `${href}/cancel` } : null };
  }

  function named(walk: NamedWalk): string {
    const { fullDate } = when(walk.gatherAt, walk.zone, settings());
    return `the ${walkTitle(walk, settings().units)} on ${fullDate}`;
  }

  function show(request: FastifyRequest, reply: FastifyReply, faults: Faults) {
    const person = signedInPerson(request);
    const hindered = eraseFaults(standing(person), true);
    const coming = [...standingSignUps(db.q, person.email, now()), ...standingPlaces(db.q, person.email, now())];
    reply.header('Cache-Control', 'no-store');
    return page(request, reply, 'people/erase', {
      title: 'Erase me',
      narrow: true,
      noindex: true,
      ...refused(faults),
      faults,
      email: person.email,
      hindered: Object.values(hindered),
      leads: walksStillLed(db.q, person.id, now()).map(linked),
      coming: coming.map(named),
      held: heldFor(db.q, person.email).map(named),
      leader: person.leader,
    });
  }

  function erasePage(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, {});
  }

  function eraseMe(request: FastifyRequest, reply: FastifyReply) {
    const person = signedInPerson(request);
    const sure = line(request.body as Typed, 'sure') === 'yes';
    const faults = eraseFaults(standing(person), sure);
    if (Object.keys(faults).length > 0) return show(request, reply.code(422), faults);
    eraseAtOwnWish(services, person);
    return reply.clearCookie(sessionCookie(services.config), cookieOptions(services.config)).redirect('/me/erased', 303);
  }

  function erasedPage(request: FastifyRequest, reply: FastifyReply) {
    reply.header('Cache-Control', 'no-store');
    return page(request, reply, 'privacy/erased', { title: 'You have been erased', narrow: true, noindex: true });
  }

  return { erasePage, eraseMe, erasedPage };
}
