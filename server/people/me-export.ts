import type { FastifyReply, FastifyRequest } from 'fastify';
import { openKept } from '../contacts/kept.js';
import { contactPlace, openSealed } from '../contacts/sealed.js';
import { sealedOfTurnedUp, turnedUpPlace } from '../day/turned-up-contacts.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import { noteExport, sealedContacts, sealedKept } from './me-export-store.js';
import { type Held, heldAbout, isOwn } from './me-held.js';
import { heldJson, type Opened } from './me-json.js';
import { signedInPerson } from './me-person.js';

/** Everything as a file, with the person's own emergency contacts opened. That it was saved is written down in the same transaction. */
export function exportMe(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const person = signedInPerson(request);
    const now = services.now();
    const all = services.db.write((tx) => {
      noteExport(tx, person.id, now);
      const held = heldAbout(services, person, Number.MAX_SAFE_INTEGER);
      return heldJson(services, held, {
        contacts: openOwn(tx, services, held),
        kept: openOwnKept(tx, services, held),
        turnedUp: openOwnTurnedUp(tx, services, held),
      });
    });
    const day = new Date(now).toISOString().slice(0, 10);
    return reply
      .headers({ 'Cache-Control': 'no-store', 'Content-Disposition': `attachment; filename="about-me-${day}.json"` })
      .type('application/json; charset=utf-8')
      .send(`${JSON.stringify(all, null, 2)}\n`);
  };
}

/** One that does not open is null: the rest is given all the same. */
function openOwn(tx: Tx, services: Services, { self, signUps, memberships }: Held): Opened {
  const own = [...signUps.flatMap((signUp) => signUp.members.filter((one) => isOwn(one, self.email))), ...memberships];
  const ids = own.filter((one) => one.hasContact).map((one) => one.id);
  return new Map(sealedContacts(tx, ids).map(({ id, sealed }) => [id, openSealed(services, contactPlace(id), sealed)]));
}

function openOwnKept(tx: Tx, services: Services, held: Held): Opened {
  const ids = held.keptContacts.map((one) => one.id);
  return new Map(sealedKept(tx, ids).map((row) => [row.id, openKept(services, row)]));
}

function openOwnTurnedUp(tx: Tx, services: Services, { turnedUp }: Held): Opened {
  const ids = turnedUp.filter((one) => one.hasContact).map((one) => one.id);
  return new Map(sealedOfTurnedUp(tx, ids).map(({ id, sealed }) => [id, openSealed(services, turnedUpPlace(id), sealed)]));
}
