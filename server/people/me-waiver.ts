import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { waiverDocument } from '../waivers/document.js';
import { Problem } from '../web/errors.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { signedInPerson } from './me-person.js';
import { ownWaiver } from './me-store.js';

/** The document that was signed, as it was signed, for its signer: to read, or with `?save=1` as a file. */
export function meWaiver(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const id = Number((request.params as { waiver: string }).waiver);
    const found = Number.isSafeInteger(id) ? ownWaiver(services.db.q, signedInPerson(request).email, id) : undefined;
    if (!found)
      throw Problem.notFound('There is no such waiver, or it was not signed with your address.', [{ href: '/me', label: 'Your page' }]);
    const { waiver, version, body } = found;
    const document = waiverDocument({ ...waiver, text: { version, sha256: waiver.textSha256, body } }, waiver.format);
    reply.header('Cache-Control', 'no-store');
    if ((request.query as { save?: unknown }).save === '1') return file(reply, waiver.id, document);
    return page(request, reply, 'people/waiver', {
      title: waiver.signedAs === 'leader' ? "The leader's agreement" : `Waiver for ${waiver.forName}`,
      narrow: true,
      noindex: true,
      waiver: { id: waiver.id, version, hash: waiver.documentSha256, at: when(waiver.signedAt, homeZone(services), services.settings()) },
      document,
    });
  };
}

function file(reply: FastifyReply, id: number, document: string): FastifyReply {
  return reply.header('Content-Disposition', `attachment; filename="waiver-${id}.txt"`).type('text/plain; charset=utf-8').send(document);
}
