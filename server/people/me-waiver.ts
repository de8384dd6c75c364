import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { waiverDocument } from '../waivers/document.js';
import { Problem } from '../web/errors.js';
import { signedInPerson } from './me-person.js';
import { ownWaiver } from './me-store.js';

/** The document that was signed, as it was signed, for its signer. */
export function meWaiver(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const id = Number((request.params as { waiver: string }).waiver);
    const found = Number.isSafeInteger(id) ? ownWaiver(services.db.q, signedInPerson(request).email, id) : undefined;
    if (!found)
      throw Problem.notFound('There is no such waiver, or it was not signed with your address.', [{ href: '/me', label: 'Your page' }]);
    const { waiver, version, body } = found;
    const document = waiverDocument({ ...waiver, text: { version, sha256: waiver.textSha256, body } }, waiver.format);
    return reply
      .headers({ 'Cache-Control': 'no-store', 'Content-Disposition': `attachment; filename="waiver-${waiver.id}.txt"` })
      .type('text/plain; charset=utf-8')
      .send(document);
  };
}
