import type { FastifyReply, FastifyRequest } from 'fastify';
import { lengthWords } from '../calc/measure.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import { contactsKeptOn } from '../contacts/sealed.js';
import { windowState } from '../contacts/window.js';
import { saturdayIn } from '../coverage/rules.js';
import { areaMonths } from '../coverage/store.js';
import { failedOf, walkNotices } from '../notices/store.js';
import { seriesModel } from '../repeats/series-model.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { partiesOf } from '../signups/party.js';
import { checkModel } from '../walkcheck/model.js';
import { checkOf, nearOf } from '../walks/checked.js';
import { copyDates } from '../walks/copy-dates.js';
import { led } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { shownDate } from '../walks/shown-date.js';
import { changesSince, factsOf, placesTaken, walksLedBy } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { figures, meetFrame } from '../walks/walk-page.js';
import { wayOf } from '../walks/way.js';
import { weatherModel } from '../weather/model.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { monthName, when } from '../web/when.js';
import { contactsLine } from './contacts-line.js';
import { heading } from './heading.js';
import { noticeLine, noticeSums, stillToTell } from './notice-line.js';
import { partyRow, waiverCount } from './party-rows.js';
import { leaderMonths } from './store.js';
import { noticeCounts } from './walk-store.js';
import { commitmentWords } from './words.js';

const MONTHS_SHOWN = 4;

/** What a leader sees: own walks, and each one's people. */
export function leadPages(services: Services) {
  const { db, settings, now } = services;

  function own(request: FastifyRequest, reply: FastifyReply) {
    const person = request.visitor.person;
    if (!person) throw Problem.forbidden('Sign in first.');
    const today = wallOf(now(), homeZone(services)).date;
    const month = today.slice(0, 7);
    const months = monthsFrom(addMonths(month, -1), MONTHS_SHOWN);
    const mine = leaderMonths(db.q, months, now(), person.id)[0];
    const led = walksLedBy(db.q, person.id, month)
      .filter(({ walk }) => !isDiscarded(walk))
      .map(({ walk, ...counts }) => ({ ...ownRow(walk), ...counts }));
    const area = db.q.query.leaders.findFirst({ where: (row, { eq }) => eq(row.personId, person.id) }).sync();
    return page(request, reply, 'lead/own', {
      title: 'Your walks',
      months: mine?.months.map((one) => ({
        ...monthName(one.month, settings().locale),
        current: one.month === month,
        ...commitmentWords(one),
      })),
      coming: led.filter((row) => row.isComing),
      drafts: led.filter((row) => row.isDraft),
      past: led.filter((row) => row.isPast).reverse(),
      needs: area ? areaNeeds(area.areaId, today) : [],
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
      isDraft: walk.state === 'draft',
      isComing: walk.state !== 'draft' && !over,
      isPast: walk.state !== 'draft' && over,
    };
  }

  /** Months in the leader's own area with fewer walks than it should have, each with a form filled for its first Saturday to come. */
  function areaNeeds(areaId: number, today: string) {
    const area = areaMonths(db.q, monthsFrom(today.slice(0, 7), MONTHS_SHOWN), settings().floorWalks).find((one) => one.id === areaId);
    return (area?.months ?? [])
      .filter((one) => one.fill !== 'full')
      .map((one) => ({
        ...monthName(one.month, settings().locale),
        met: one.met,
        needed: one.needed,
        area: area?.name,
        href: newWalkHref(area?.slug ?? '', saturdayIn(one.month, today)),
      }));
  }

  function walk(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const parties = partiesOn(walk);
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
      saved,
      toTell: saved ? stillToTell(counts, walk.zone, settings(), now()) : null,
      mayEdit,
      cancelReason: walk.cancelReason,
      taken: placesTaken(db.q, walk.id),
      confirmed,
      waivers: waiverCount(confirmed),
      contacts: contactsLine(walk, settings(), now()),
      leads: part !== 'coordinator',
      waiting: parties.filter((party) => party.state === 'waiting'),
      notices,
      noticeSums: noticeSums(counts),
      failed: failedOf(db.q, walk.id).map((notice) => noticeLine(notice, walk.zone, settings())),
      mayCopy: walk.state !== 'draft' && request.visitor.person?.leader === true,
      copies: copyDates(walk).map((copy) => ({ ...copy, href: `/lead/walks/new?copy=${walk.id}&date=${copy.date}` })),
      series: seriesModel(db.q, walk, settings()),
      changes: history(walk),
    });
  }

  /** The people of a walk. Once its window is over, emergency contacts go: nobody is asked for one any more. */
  function partiesOn(walk: WalkRow) {
    const state = windowState(walk, settings(), now());
    const kept = state === 'before' || state === 'open' ? contactsKeptOn(db.q, walk.id) : null;
    return partiesOf(db.q, walk.id, { now: now(), settings: settings() }).map((party) => partyRow(party, kept));
  }

  const KINDS = {
    created: 'drafted',
    posted: 'posted',
    edited: 'edited',
    cancelled: 'cancelled',
    zone: 'moved by a change of the time zone rules',
  } as const;

  function history(walk: WalkRow) {
    return changesSince(db.q, walk.id, 0)
      .slice(-10)
      .reverse()
      .map((change) => ({ at: when(change.at, walk.zone, settings()), by: change.by ?? 'Waymeet', what: KINDS[change.kind] }));
  }

  return { own, walk };
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

function newWalkHref(area: string, date: string | null): string {
  return `/lead/walks/new?area=${area}${date === null ? '' : `&date=${date}`}`;
}
