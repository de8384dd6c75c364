import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import { line, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { changeForms, type Refused } from './change-forms.js';
import { changeModel } from './change-model.js';
import { setMails, wantsMails } from './change-store.js';
import { ownCommitment } from './own-model.js';
import { areaZoneOf } from './terms.js';

const AT = '/lead/commitment';

/** The leader's own commitment: what they promise, when they are excused, and whether they want the monthly mail. */
export function ownPages(services: Services) {
  const { db, now, settings } = services;

  function show(request: FastifyRequest, reply: FastifyReply, refused: Refused): FastifyReply {
    const personId = signedIn(request);
    const own = ownCommitment(services, personId);
    if (!own) throw new Error('the route let in somebody who does not lead');
    const isRefused = Object.keys(refused.faults).length > 0;
    const { locale, commitmentDay } = settings();
    const query = request.query as Typed;
    const around = { by: 'leader' as const, month: own.month, at: AT, locale, zone: areaZoneOf(db.q, personId), query };
    const model = changeModel(db.q, personId, around, refused);
    const wants = wantsMails(db.q, personId);
    return page(request, isRefused ? reply.code(422) : reply, 'commitment/own', {
      title: 'Your commitment',
      errorTitle: isRefused,
      months: own.months,
      due: own.due,
      wantsMails: wants,
      commitmentDay,
      ...model,
      saved: line(query, 'saved') === 'mails' ? `the monthly mail is ${wants ? 'on' : 'off'}` : model.saved,
    });
  }

  function mails(request: FastifyRequest, reply: FastifyReply): FastifyReply {
    const personId = signedIn(request);
    const wanted = ticked(request.body as Typed, 'wanted');
    db.write((tx) => setMails(tx, personId, wanted, { by: personId, now: now() }));
    return reply.redirect(`${AT}?saved=mails`, 303);
  }

  const forms = changeForms(services, { by: 'leader', leaderOf: signedIn, at: () => AT, show });
  return { ...forms, mails, page: (request: FastifyRequest, reply: FastifyReply) => show(request, reply, { typed: {}, faults: {} }) };
}
