import type { FastifyReply, FastifyRequest } from 'fastify';
import { isOutOn } from '../day/under-way.js';
import { laterWalks } from '../repeats/later-store.js';
import { cancelWithLater } from '../repeats/save-later.js';
import { isForLater, laterFields, versionsSeen } from '../repeats/scope.js';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { editable, editorOf, led, signedIn } from './led-request.js';
import type { WalkRow } from './ledby.js';
import { cancelWalk } from './save.js';
import { placesTaken } from './store.js';
import { walkTitle } from './title.js';
import { meetFrame } from './walk-page.js';

const MOST_REASON = 200;

/** Cancelling a walk: why, and then everyone hears at once. */
export function cancelPages(services: Services) {
  const { db, settings, now } = services;

  function cancelForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    cancellable(walk);
    return showCancel(request, reply, walk, {}, {});
  }

  /**
   * A cancelled walk has nobody out on it: its roll can only be read, and its emergency details are closed. So one whose people are out is
   * accounted for and closed instead. @throws Problem
   */
  function cancellable(walk: WalkRow): void {
    editable(walk);
    if (!isOutOn(db.q, walk.id)) return;
    throw new Problem(409, {
      heading: 'People are out on this walk',
      sentence: 'By its roll they have set off. Say on the roll who left early and who finished, then close the walk.',
      links: [
        { href: `/lead/walks/${walk.id}/roll`, label: 'To the roll' },
        { href: `/lead/walks/${walk.id}/message`, label: 'Write to everyone' },
      ],
    });
  }

  function showCancel(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, typed: Typed, faults: Faults, isNew = false) {
    const refused = Object.keys(faults).length > 0 || isNew;
    return page(request, refused ? reply.code(422) : reply, 'lead/cancel', {
      title: `${walk.state === 'draft' ? 'Discard' : 'Cancel'} the ${walkTitle(walk, settings().units)}`,
      draft: walk.state === 'draft',
      errorTitle: refused,
      narrow: true,
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id },
      taken: placesTaken(db.q, walk.id),
      ...laterOf(request, walk, typed),
      isNew,
      form: { reason: line(typed, 'reason'), safety: line(typed, 'kind') === 'safety', other: line(typed, 'kind') === 'other' },
      faults,
      errors: summary(faults),
    });
  }

  /** The later walks of the series, which may be cancelled with it. A draft is thrown away alone: its reason is not for walkers to read. */
  function laterOf(request: FastifyRequest, walk: WalkRow, typed: Typed) {
    const later = walk.state === 'draft' ? [] : laterWalks(db.q, walk, editorOf(request), now()).filter((one) => one.mine);
    return {
      laterDates: later.map((one) => when(one.walk.gatherAt, one.walk.zone, settings()).date),
      laterFields: laterFields(later),
      scopeLater: isForLater(typed),
    };
  }

  function postCancel(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const typed = request.body as Typed;
    if (walk.state === 'cancelled') return reply.redirect(`/lead/walks/${walk.id}`, 303);
    cancellable(walk);
    const kind = line(typed, 'kind');
    const reason = line(typed, 'reason');
    const faults: Faults = {};
    if (kind !== 'safety' && kind !== 'other') faults.kind = 'Say whether it is for safety or for another reason.';
    if (reason === '') faults.reason = 'Give the reason in a few words: walkers read it.';
    else if (reason.length > MOST_REASON) faults.reason = `Keep the reason under ${MOST_REASON} characters; it has ${reason.length}.`;
    if (Object.keys(faults).length > 0) return showCancel(request, reply, walk, typed, faults);
    const why = { kind: kind as 'safety' | 'other', reason };
    const seen = walk.state === 'posted' && isForLater(typed) ? (versionsSeen(typed) ?? new Map<number, number>()) : null;
    if (seen === null) cancelWalk(services, walk.id, signedIn(request), why);
    else if (cancelWithLater(services, walk.id, editorOf(request), { why, seen }) === 'later')
      return showCancel(request, reply, walk, typed, {}, true);
    return reply.redirect(`/lead/walks/${walk.id}`, 303);
  }

  return { cancelForm, postCancel };
}
