import { inArray } from 'drizzle-orm';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { contactPlace } from '../contacts/sealed.js';
import type { Tx } from '../db/open.js';
import { auditLog, emergencyContacts, keptContacts } from '../db/schema/index.js';
import { type Place, SealBroken } from '../db/seal.js';
import type { Services } from '../services.js';
import { type Held, heldAbout, isOwn } from './me-held.js';
import { heldJson, type Opened } from './me-json.js';
import { signedInPerson } from './me-person.js';

/** Everything as a file, with the person's own emergency contacts opened. That it was saved is written down in the same transaction. */
export function exportMe(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const person = signedInPerson(request);
    const now = services.now();
    const all = services.db.write((tx) => {
      tx.insert(auditLog)
        .values({ at: now, personId: person.id, action: 'exported own details', subject: `person:${person.id}` })
        .run();
      const held = heldAbout(services, person, Number.MAX_SAFE_INTEGER);
      return heldJson(services, held, { contacts: openOwn(tx, services, held), kept: openKept(tx, services, held) });
    });
    const day = new Date(now).toISOString().slice(0, 10);
    return reply
      .headers({ 'Cache-Control': 'no-store', 'Content-Disposition': `attachment; filename="about-me-${day}.json"` })
      .type('application/json; charset=utf-8')
      .send(`${JSON.stringify(all, null, 2)}\n`);
  };
}

function openOwn(tx: Tx, services: Services, { self, signUps, memberships }: Held): Opened {
  const own = [...signUps.flatMap((signUp) => signUp.members.filter((one) => isOwn(one, self.email))), ...memberships];
  const ids = own.filter((one) => one.hasContact).map((one) => one.id);
  const rows = tx
    .select({ id: emergencyContacts.memberId, sealed: emergencyContacts.sealed })
    .from(emergencyContacts)
    .where(inArray(emergencyContacts.memberId, ids))
    .all();
  return new Map(rows.map(({ id, sealed }) => [id, opened(services, contactPlace(id), sealed)]));
}

/** As server/contacts/kept.ts seals them. */
function keptPlace(id: number): Place {
  return { table: 'kept_contacts', column: 'sealed', row: id };
}

function openKept(tx: Tx, services: Services, held: Held): Opened {
  const ids = held.keptContacts.map((one) => one.id);
  const rows = tx
    .select({ id: keptContacts.id, sealed: keptContacts.sealed })
    .from(keptContacts)
    .where(inArray(keptContacts.id, ids))
    .all();
  return new Map(rows.map(({ id, sealed }) => [id, opened(services, keptPlace(id), sealed)]));
}

/** Null where it does not open: the rest is given all the same. */
function opened({ sealer, log }: Services, place: Place, sealed: Buffer): unknown {
  try {
    return sealer.open(place, sealed);
  } catch (error) {
    if (!(error instanceof SealBroken)) throw error;
    log.error({ place }, error.message);
    return null;
  }
}
