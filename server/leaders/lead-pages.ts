import type { FastifyReply, FastifyRequest } from 'fastify';
import { lengthWords } from '../calc/measure.js';
import { ownCommitment } from '../commitment/own-model.js';
import { contactsKeptOn } from '../contacts/sealed.js';
import { windowState } from '../contacts/window.js';
import { areaNeeds } from '../coverage/needs.js';
import { closingState, heardLate } from '../day/closing-rules.js';
import { rollPhase } from '../day/opening.js';
import { packLines } from '../day/pack-line.js';
import { entriesOf } from '../day/store.js';
import { leadLines } from '../joining/lead-lines.js';
import { mayPostDraft } from '../joining/posting.js';
import { walkMessages } from '../messages/shown.js';
import { failedOf, walkNotices } from '../notices/store.js';
import { askedOfLeader } from '../proposals/beside.js';
import { seriesModel } from '../repeats/series-model.js';
import type { Services } from '../services.js';
import { partiesOf } from '../signups/party.js';
import { askedPart, togetherPart } from '../together/model.js';
import { checkModel } from '../walkcheck/model.js';
import { checkOf, nearOf } from '../walks/checked.js';
import { copyDates } from '../walks/copy-dates.js';
import { finishTimes } from '../walks/finish.js';
import { led } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { shownDate } from '../walks/shown-date.js';
import { changesSince, factsOf, walksLedBy } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { figures, meetFrame } from '../walks/walk-page.js';
import { wayOf } from '../walks/way.js';
import { weatherModel } from '../weather/model.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { contactsLine } from './contacts-line.js';
import { heading } from './heading.js';
import { noticeLine, noticeSums, stillToTell } from './notice-line.js';
import { partyRow, waiverCount } from './party-rows.js';
import { noticeCounts } from './walk-store.js';

/** What a leader sees: own walks, and each one's people. */
export function leadPages(services: Services) {
  const { db, settings, now } = services;

  function own(request: FastifyRequest, reply: FastifyReply) {
    const person = request.visitor.person;
    if (!person) throw Problem.forbidden('Sign in first.');
    const commitment = ownCommitment(services, person.id);
    if (!commitment) throw new Error('the route let in somebody who does not lead');
    const led = walksLedBy(db.q, person.id, commitment.month)
      .filter(({ walk }) => !isDiscarded(walk))
      .map(({ walk, part, leader, ...counts }) => ({ ...ownRow(walk), sharedWith: part === 'co-leader' ? leader : null, ...counts }));
    return page(request, reply, 'lead/own', {
      title: 'Your walks',
      asked: askedPart({ q: db.q, settings: settings(), now: now(), sealer: services.sealer }, person.id),
      asksOfYou: askedOfLeader(db.q, services.sealer, person.id, commitment.today),
      due: commitment.due,
      months: commitment.months,
      coming: led.filter((row) => row.isComing),
      drafts: led.filter((row) => row.isDraft),
      toClose: led.filter((row) => row.isPast && row.notClosed),
      past: led.filter((row) => row.isPast).reverse(),
      needs: areaNeeds(db.q, commitment.leader.areaId, commitment.today, settings()),
      needsOf: commitment.leader.areaName,
      ...leadLines(services, person),
    });
  }

  function ownRow(walk: WalkRow) {
    const over = walk.state === 'closed' || walk.gatherAt <= now();
    return {
      href: `/lead/walks/${walk.id}`,
      gather: when(walk.gatherAt, walk.zone, settings()),
      date: shownDate(walk.gatherAt, walk.zone, settings(), now()),
      route: walk.routeName,
      detail: `${lengthWords(walk.distanceMetres, settings().units)}, ${walk.locality}`,
      capacity: walk.capacity,
      cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
      notClosed: closingState(walk, now()) === 'open',
      isDraft: walk.state === 'draft',
      isComing: walk.state !== 'draft' && !over,
      isPast: walk.state !== 'draft' && over,
    };
  }

  function walk(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const signedUp = partiesOf(db.q, walk.id, { now: now(), settings: settings() });
    const parties = partiesOn(walk, signedUp);
    const versions = changesSince(db.q, walk.id, 0);
    const confirmed = parties.filter((party) => party.state === 'confirmed');
    const counts = noticeCounts(db.q, walk.id);
    const saved = line(request.query as Typed, 'saved') !== '';
    const notices = walkNotices(db.q, walk.id).map((notice) => noticeLine(notice, walk.zone, settings()));
    const over = walk.state === 'closed' || walk.gatherAt <= now();
    const mayEdit = walk.state === 'draft' || walk.state === 'posted';
    const near = nearOf(services, factsOf(walk));
    const way = wayOf(services, walk, near);
    const { person } = request.visitor;
    return page(request, reply, 'lead/walk', {
      title: walkTitle(walk, settings().units),
      heading: heading(walk, settings().units),
      walk: { id: walk.id, theme: walk.theme, capacity: walk.capacity },
      meet: meetFrame(walk, settings()),
      figures: figures(walk, settings(), way.light),
      way,
      ruleOfThumb: way.ruleOfThumb === null ? null : hoursWords(way.ruleOfThumb),
      strip: way.strip,
      map: way.map,
      check:
        mayEdit && !over
          ? checkModel(
              checkOf(services, factsOf(walk), near, {
                walkId: walk.id,
                leaderId: person?.id ?? 0,
                when: walk.state === 'draft' ? 'draft' : 'posted',
              }),
              { mendAt: `/lead/walks/${walk.id}/edit` },
            )
          : null,
      weather: weatherModel(db.q, walk, settings(), way.area.emergencyNumber),
      is: {
        draft: walk.state === 'draft',
        posted: walk.state === 'posted',
        cancelled: walk.state === 'cancelled',
        closed: walk.state === 'closed',
        discarded: isDiscarded(walk),
        public: walk.postedAt !== null,
        over,
      },
      rollOpen: rollPhase(walk, now()) === 'open',
      late: lateWords(walk.closedAt === null ? 0 : heardLate(entriesOf(db.q, walk.id), walk.closedAt).size),
      mayClose: closingState(walk, now()) === 'open' && now() >= finishTimes(walk, settings()).fastest,
      saved,
      postingClosed: walk.state === 'draft' && !mayPostDraft(db.q, walk.id, now()) ? { own: part === 'leader' } : null,
      toTell: saved ? stillToTell(counts, walk.zone, settings(), now()) : null,
      mayEdit,
      cancelReason: walk.cancelReason,
      taken: { confirmed: people(confirmed), waiting: people(parties) - people(confirmed) },
      confirmed,
      waivers: waiverCount(confirmed),
      contacts: contactsLine(walk, settings(), now()),
      leads: part !== 'coordinator',
      waiting: parties.filter((party) => party.state === 'waiting'),
      notices,
      noticeSums: noticeSums(counts),
      failed: (counts.some(({ state }) => state === 'failed') ? failedOf(db.q, walk.id) : []).map((notice) =>
        noticeLine(notice, walk.zone, settings()),
      ),
      mayCopy: walk.state !== 'draft' && request.visitor.person?.leader === true,
      copies: copyDates(walk).map((copy) => ({ ...copy, href: `/lead/walks/new?copy=${walk.id}&date=${copy.date}` })),
      series: seriesModel(db.q, walk, settings()),
      changes: history(walk, versions),
      packLines: packLines(services, walk, { parties: signedUp, versions }),
      messages: walkMessages(services, walk),
      together: isDiscarded(walk) ? null : togetherPart({ q: db.q, now: now() }, walk),
    });
  }

  /** The people of a walk. Once its window is over, emergency contacts go: nobody is asked for one any more. */
  function partiesOn(walk: WalkRow, signedUp: ReturnType<typeof partiesOf>) {
    const state = windowState(walk, settings(), now());
    const kept = state === 'before' || state === 'open' ? contactsKeptOn(db.q, walk.id) : null;
    return signedUp.map((party) => partyRow(party, kept));
  }

  const KINDS = {
    created: 'drafted',
    posted: 'posted',
    edited: 'edited',
    cancelled: 'cancelled',
    zone: 'moved by a change of the time zone rules',
    'handed over': 'given a new leader',
  } as const;

  function history(walk: WalkRow, versions: ReturnType<typeof changesSince>) {
    return versions
      .slice(-10)
      .reverse()
      .map((change) => ({ at: when(change.at, walk.zone, settings()), by: change.by ?? 'Waymeet', what: KINDS[change.kind] }));
  }

  return { own, walk };
}

/** How many people have a place by some sign-ups, as booked. */
function people(parties: { partySize: number }[]): number {
  return parties.reduce((sum, { partySize }) => sum + partySize, 0);
}

/** "3 h 05 min" */
function hoursWords(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** A draft that was thrown away: it was never public, so nobody has anything to look up. */
function isDiscarded(walk: WalkRow): boolean {
  return walk.state === 'cancelled' && walk.postedAt === null;
}

/** Of how many something was heard after the close, in words; null of nobody. */
function lateWords(count: number): string | null {
  if (count === 0) return null;
  return count === 1 ? '1 person' : `${count} people`;
}
