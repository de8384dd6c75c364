import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { LedWalk } from '../walks/ledby.js';
import { walkById } from '../walks/store.js';
import { Problem } from '../web/errors.js';
import { type Batch, MOST_ENTRIES, readBatch } from './batch.js';
import type { Refused } from './contract.js';
import type { Entry } from './ledger.js';
import { rollPhase } from './opening.js';
import { rollState } from './roll-state.js';
import { addTurnedUp, keepEntries, knownOn } from './store.js';

/**
 * Takes what a phone said and answers the whole roll. 422 names the entries that can never be taken; the others are kept. 409 where the walk
 * is closed or cancelled: what came late is kept all the same, and shown as such. Sent twice is once.
 */
export function syncRoll(services: Services, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const { walk } = keeper(request);
  const batch = readBatch(request.body);
  if (!batch)
    throw new Problem(400, {
      heading: 'That could not be read',
      sentence: `Load the roll again. It takes ${MOST_ENTRIES} entries at once.`,
      links: [],
    });
  const phase = rollPhase(walk, services.now());
  if (phase === 'draft' || phase === 'before') throw notOpen();
  const refused = keepBatch(services, walk.id, batch, signedIn(request));
  const state = rollState(services, walkById(services.db.q, walk.id) ?? walk, request);
  reply.header('Cache-Control', 'no-store');
  if (state.closed) return reply.code(409).send({ closed: true, refused, state });
  return refused.length > 0 ? reply.code(422).send({ refused, state }) : reply.send(state);
}

/** The roll is not there yet. */
export function notOpen(): Problem {
  return new Problem(403, {
    heading: 'The roll is not open yet',
    sentence: 'It opens a day before people gather, once the walk is posted.',
    links: [],
  });
}

/** Keeps what can be kept, in one transaction; gives what can never be. */
function keepBatch({ db, now }: Services, walkId: number, batch: Batch, personId: number): Refused[] {
  return db.write((tx) => {
    const receivedAt = now();
    addTurnedUp(tx, walkId, batch.people, { personId, now: receivedAt });
    const known = knownOn(tx, walkId);
    const { device, sentAt } = batch;
    const stamp = { device, sentAt, receivedAt, byPersonId: personId };
    const taken = batch.entries.filter((one) => peopleIn(one).every((who) => known.has(who)));
    keepEntries(
      tx,
      walkId,
      taken.map(({ at, ...one }) => ({ ...one, ...stamp, deviceAt: at })),
    );
    const unknown = batch.entries.filter((one) => !taken.includes(one));
    return [
      ...batch.refused,
      ...unknown.map(({ entry }) => ({ entry, sentence: 'Nobody on this walk has that number. Load the roll again.' })),
    ];
  });
}

/** Whom an entry is about: party members and those who turned up. */
function peopleIn({ who, said }: Entry): string[] {
  const named = said.kind === 'back' ? [said.who] : said.kind === 'with' ? [said.minor, said.guardian] : [who];
  return named.filter((one) => /^[mt]/.test(one));
}

/** The walk of whoever may write on its roll: those who lead it. A coordinator reads it. @throws Problem */
export function keeper(request: FastifyRequest): LedWalk {
  const found = led(request);
  if (found.part === 'coordinator')
    throw Problem.forbidden("Only this walk's leaders keep its roll. Hand the walk over to someone who can.");
  return found;
}
