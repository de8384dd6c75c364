import type { FastifyReply, FastifyRequest } from 'fastify';
import { auditLog } from '../db/schema/index.js';
import { cookieOptions, sessionCookie } from '../people/cookies.js';
import { signedInPerson } from '../people/me-person.js';
import { refused } from '../people/refusal.js';
import type { Services } from '../services.js';
import { fillFreedPlaces } from '../signups/places.js';
import { withdrawIn } from '../signups/store.js';
import { oweContext } from '../walks/save.js';
import { walkTitle } from '../walks/title.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { eraseAddress } from './erase.js';
import { eraseFaults, type Standing } from './erase-rules.js';
import { hasOtherCoordinator, type NamedWalk, standingPlaces, standingSignUps, walksStillLed } from './erase-store.js';
import { addressMark } from './marks.js';
import { emptyWal, layTombstones } from './tombstones.js';

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
    return { href: `/lead/walks/${walk.walkId}`, name: named(walk) };
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
    erasePerson(services, person);
    return reply.clearCookie(sessionCookie(services.config), cookieOptions(services.config)).redirect('/me/erased', 303);
  }

  function erasedPage(request: FastifyRequest, reply: FastifyReply) {
    reply.header('Cache-Control', 'no-store');
    return page(request, reply, 'privacy/erased', { title: 'You have been erased', narrow: true, noindex: true });
  }

  return { erasePage, eraseMe, erasedPage };
}

/**
 * Erases a person for good. The mark beside the database comes first: whatever stops this halfway, the next start goes on with it.
 * Their places go to those who wait.
 */
function erasePerson(services: Services, { id, email }: Person): void {
  const { db, sealer, config } = services;
  const at = services.now();
  layTombstones(config.dataDir, [{ mark: addressMark(sealer, email), at }]);
  db.write((tx) => {
    for (const signUp of standingSignUps(tx, email, at)) withdrawIn(tx, services, signUp.id);
    const freed = eraseAddress(tx, services, email, at);
    for (const walkId of freed) fillFreedPlaces(tx, oweContext(services), walkId);
    tx.insert(auditLog)
      .values({ at, personId: null, action: 'erased a person at their own wish', subject: `person:${id}` })
      .run();
  });
  emptyWal(db);
  services.mailOwed();
}
