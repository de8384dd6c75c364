import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { lengthWords } from '../calc/measure.js';
import { addMonths, monthOf } from '../calc/month.js';
import { aboutLeader } from '../joining/about-store.js';
import { aboutWords } from '../joining/about-words.js';
import { agreementOf } from '../joining/agreement-store.js';
import { bringBack } from '../leaders/store.js';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthWords, when } from '../web/when.js';
import { agreementLine } from './agreement-words.js';
import { changeForms, type Refused } from './change-forms.js';
import { changeModel } from './change-model.js';
import { changesOf } from './change-store.js';
import { isMonth } from './changes.js';
import { leaderById, walksOfMonth } from './leader-store.js';
import { changeWords } from './log-words.js';
import { ownCommitment } from './own-model.js';

const LEADERS = { href: '/coordinate/leaders', label: 'See the leaders' };
const at = (personId: number) => `/coordinate/leaders/${personId}`;

/** One leader's commitment as the coordinator sees and changes it. */
export function leaderPages(services: Services) {
  const { db, now, settings } = services;

  function found(request: FastifyRequest) {
    const leader = leaderById(db.q, Number((request.params as { person: string }).person));
    if (!leader) throw Problem.notFound('There is no leader at this address.', [LEADERS]);
    return leader;
  }

  function show(request: FastifyRequest, reply: FastifyReply, refused: Refused): FastifyReply {
    const leader = found(request);
    const { personId, zone } = leader;
    const own = ownCommitment(services, personId);
    if (!own) throw new Error('a leader without a commitment');
    const isRefused = Object.keys(refused.faults).length > 0;
    const asked = line(request.query as Typed, 'month');
    const month = isMonth(asked) ? asked : own.month;
    const { locale } = settings();
    const isGone = leader.standing === 'stood_down';
    const about = aboutLeader(db.q, personId);
    const agreement = agreementOf(db.q, { id: personId, email: leader.email });
    return page(request, isRefused ? reply.code(422) : reply, 'commitment/leader', {
      title: leader.name,
      errorTitle: isRefused,
      leader,
      about: about ? aboutWords(about, allAreas(db.q), { now: now(), settings: settings(), zone }) : [],
      stoodDown: isGone,
      email: leader.disabledAt === null ? leader.email : null,
      agreement: agreement ? agreementLine(agreement, { now: now(), zone, settings: settings() }) : null,
      mayBringBack: isGone && leader.disabledAt === null,
      mayStandDown: !isGone && personId !== signedIn(request),
      months: own.months.map((one) => ({ ...one, href: `${at(personId)}?month=${one.month}`, chosen: one.month === month })),
      shown: monthWords(month, locale),
      walks: walksOfMonth(db.q, personId, month).map(({ walk, part }) => walkRow(walk, part)),
      changes: changesOf(db.q, personId).map((one) => changeWords(one, zone, settings())),
      ...changeModel(
        db.q,
        personId,
        { by: 'coordinator', month: own.month, at: at(personId), locale, zone, query: request.query as Typed },
        refused,
      ),
    });
  }

  function walkRow(walk: WalkRow, part: 'leader' | 'co-leader') {
    return {
      href: `/lead/walks/${walk.id}`,
      gather: when(walk.gatherAt, walk.zone, settings()),
      route: walk.routeName,
      detail: `${lengthWords(walk.distanceMetres, settings().units)}, ${walk.locality}`,
      part,
      state: stateWords(walk, now()),
    };
  }

  /** Asked of them again from next month on; what they promised before stands. */
  function back(request: FastifyRequest, reply: FastifyReply): FastifyReply {
    const { personId, zone, disabledAt } = found(request);
    if (disabledAt !== null)
      throw new Problem(409, { heading: 'They cannot be brought back', sentence: 'They were erased, or shut out.', links: [LEADERS] });
    const month = addMonths(monthOf(now(), zone), 1);
    db.write((tx) => bringBack(tx, personId, month, signedIn(request), now()));
    return reply.redirect(at(personId), 303);
  }

  const forms = changeForms(services, { by: 'coordinator', leaderOf: (request) => found(request).personId, at, show });
  /** Of someone who was stood down there is nothing to change: a form from before that is answered by the page. */
  function ofLeader(change: Change): Change {
    return (request, reply) => {
      const { personId, standing } = found(request);
      return standing === 'stood_down' ? reply.redirect(at(personId), 303) : change(request, reply);
    };
  }

  return {
    pledge: ofLeader(forms.pledge),
    excuse: ofLeader(forms.excuse),
    takeBack: ofLeader(forms.takeBack),
    back,
    page: (request: FastifyRequest, reply: FastifyReply) => show(request, reply, { typed: {}, faults: {} }),
  };
}

type Change = (request: FastifyRequest, reply: FastifyReply) => FastifyReply;

/** A walk's state, and whether it counts. Pure. */
export function stateWords(walk: Pick<WalkRow, 'state' | 'postedAt' | 'cancelKind' | 'setOffAt'>, now: number): string {
  if (walk.postedAt === null) return walk.state === 'draft' ? 'draft: does not count yet' : 'discarded';
  if (walk.state === 'cancelled') return walk.cancelKind === 'safety' ? 'cancelled for safety: counts' : 'cancelled: does not count';
  return walk.state === 'closed' || walk.setOffAt <= now ? 'led' : 'posted, to come';
}
