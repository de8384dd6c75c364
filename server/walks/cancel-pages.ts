import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { editable, led, signedIn } from './led-request.js';
import type { WalkRow } from './ledby.js';
import { cancelWalk } from './save.js';
import { placesTaken } from './store.js';
import { walkTitle } from './title.js';
import { meetFrame } from './walk-page.js';

const MOST_REASON = 200;

/** Cancelling a walk: why, and then everyone hears at once. */
export function cancelPages(services: Services) {
  const { db, settings } = services;

  function cancelForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    editable(walk);
    return showCancel(request, reply, walk, {}, {});
  }

  function showCancel(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'lead/cancel', {
      title: `${walk.state === 'draft' ? 'Discard' : 'Cancel'} the ${walkTitle(walk, settings().units)}`,
      draft: walk.state === 'draft',
      errorTitle: refused,
      narrow: true,
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id },
      taken: placesTaken(db.q, walk.id),
      form: { reason: line(typed, 'reason'), safety: line(typed, 'kind') === 'safety', other: line(typed, 'kind') === 'other' },
      faults,
      errors: summary(faults),
    });
  }

  function postCancel(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const typed = request.body as Typed;
    if (walk.state === 'cancelled') return reply.redirect(`/lead/walks/${walk.id}`, 303);
    editable(walk);
    const kind = line(typed, 'kind');
    const reason = line(typed, 'reason');
    const faults: Faults = {};
    if (kind !== 'safety' && kind !== 'other') faults.kind = 'Say whether it is for safety or for another reason.';
    if (reason === '') faults.reason = 'Give the reason in a few words: walkers read it.';
    else if (reason.length > MOST_REASON) faults.reason = `Keep the reason under ${MOST_REASON} characters; it has ${reason.length}.`;
    if (Object.keys(faults).length > 0) return showCancel(request, reply, walk, typed, faults);
    cancelWalk(services, walk.id, signedIn(request), { kind: kind as 'safety' | 'other', reason });
    return reply.redirect(`/lead/walks/${walk.id}`, 303);
  }

  return { cancelForm, postCancel };
}
