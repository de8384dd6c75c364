import type { FastifyReply, FastifyRequest } from 'fastify';
import { heading } from '../leaders/heading.js';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { areaOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { fullWhen } from '../web/when.js';
import { formId } from './close-form.js';
import { closedModel, closeModel, endedWords } from './close-model.js';
import { closeWalk, closingFacts, isBack } from './close-store.js';
import { closingState } from './closing-rules.js';
import { hazardWords } from './hazard-words.js';
import { hazardsOn } from './hazards-store.js';

/** Of a secret, as much as names a form or an entry. */
const ID_LENGTH = 24;

/** Closing a walk, and putting right one that was closed. */
export function closePages(services: Services) {
  const { db, settings, now } = services;
  const newId = () => services.secret().slice(0, ID_LENGTH);

  function closeForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    closable(walk);
    return show(request, reply, walk, null, {});
  }

  function postClose(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    closable(walk);
    const typed = (request.body ?? {}) as Typed;
    const close = { walkId: walk.id, typed, by: signedIn(request), newId };
    const outcome = db.write((tx) => closeWalk(tx, oweContext(services), close));
    if ('faults' in outcome) return show(request, reply, walk, typed, outcome.faults);
    if ('state' in outcome) throw settled(walk);
    services.mailOwed();
    return reply.redirect(`/lead/walks/${walk.id}/close?saved=1`, 303);
  }

  /** @throws Problem where there is nothing to close yet, or ever */
  function closable(walk: WalkRow): void {
    const state = closingState(walk, now(), isBack(db.q, walk.id));
    const links = [{ href: `/lead/walks/${walk.id}`, label: 'Back to the walk' }];
    const refuse = (heading: string, sentence: string) => new Problem(409, { heading, sentence, links });
    if (state === 'never')
      throw refuse(
        walk.state === 'draft' ? 'This walk is a draft' : 'This walk is cancelled',
        'Nobody went out on it: there is nothing to close.',
      );
    if (state === 'early')
      throw refuse('This walk has not set off', `It can be closed from ${fullWhen(walk.setOffAt, walk.zone, settings())} on.`);
  }

  function settled(walk: WalkRow): Problem {
    return new Problem(409, {
      heading: 'It is too late to correct this walk',
      sentence: 'It was closed more than two weeks ago.',
      links: [{ href: `/lead/walks/${walk.id}/close`, label: 'See how it was closed' }],
    });
  }

  function show(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, typed: Typed | null, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const facts = closingFacts(db.q, walk, { now: now(), settings: settings() });
    const state = closingState(walk, now(), facts.isBack);
    const isClosed = walk.state === 'closed';
    const form = (typed && formId(typed)) || newId();
    const { zone } = areaOf(db.q, walk.areaId);
    const { units } = settings();
    return page(request, refused ? reply.code(422) : reply, 'lead/close', {
      title: `${isClosed ? 'Closed' : 'Close the walk'}: ${walkTitle(walk, units)}`,
      heading: heading(walk, units),
      errorTitle: refused,
      narrow: true,
      walk: { id: walk.id },
      closed: isClosed ? closedModel(walk, facts.attendance, facts.counts, settings()) : null,
      saved: line(request.query as Typed, 'saved') !== '',
      mayChange: state !== 'settled',
      opened: refused || facts.people.some((one) => one.late),
      kept: [...facts.attendance.values()].map(({ who, ended }) => ({
        name: facts.people.find((one) => one.who === who)?.name ?? '',
        how: endedWords(ended, walk, units),
      })),
      known: hazardsOn(db.q, walk).map((one) => hazardWords(one, zone, settings())),
      ...closeModel(walk, facts, settings(), { typed: refused ? typed : null, faults, form }),
      errors: summary(faults),
    });
  }

  return { closeForm, postClose };
}
