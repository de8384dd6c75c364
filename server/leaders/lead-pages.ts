import type { FastifyReply, FastifyRequest } from 'fastify';
import { lengthFigure } from '../calc/measure.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import { areaMonths } from '../coverage/store.js';
import { walkNotices } from '../notices/store.js';
import type { Services } from '../services.js';
import { monthNow } from '../settings/home.js';
import { isOpen, openContacts, openWindow } from '../signups/contacts.js';
import { partiesOf } from '../signups/party.js';
import { copyDates } from '../walks/copy-dates.js';
import { led } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { areaOf, changesSince, leadersOf, placesTaken, walksLedBy } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { figures, meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { page } from '../web/page.js';
import { monthName, when } from '../web/when.js';
import { noticeLine } from './notice-line.js';
import { leaderMonths } from './store.js';
import { commitmentWords } from './words.js';

const MONTHS_SHOWN = 4;
const BLANK_ROWS = 8;

/** What a leader sees: own walks, and each one's people. */
export function leadPages(services: Services) {
  const { db, settings, now } = services;

  function own(request: FastifyRequest, reply: FastifyReply) {
    const person = request.visitor.person;
    if (!person) throw Problem.forbidden('Sign in first.');
    const month = monthNow(services);
    const months = monthsFrom(addMonths(month, -1), MONTHS_SHOWN);
    const mine = leaderMonths(db.q, months, now(), person.id)[0];
    const led = walksLedBy(db.q, person.id, month).map(({ walk, ...counts }) => ({ ...ownRow(walk), ...counts }));
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
      needs: area ? areaNeeds(area.areaId, month) : [],
    });
  }

  function ownRow(walk: WalkRow) {
    const over = walk.state === 'closed' || walk.gatherAt <= now();
    return {
      href: `/lead/walks/${walk.id}`,
      gather: when(walk.gatherAt, walk.zone, settings()),
      route: walk.routeName,
      detail: `${lengthFigure(walk.distanceMetres, settings().units)} ${settings().units}, ${walk.locality}`,
      capacity: walk.capacity,
      cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
      isDraft: walk.state === 'draft',
      isComing: walk.state !== 'draft' && !over,
      isPast: walk.state !== 'draft' && over,
    };
  }

  /** Months in the leader's own area with fewer walks than it should have. */
  function areaNeeds(areaId: number, month: string) {
    const area = areaMonths(db.q, monthsFrom(month, MONTHS_SHOWN), settings().floorWalks).find((one) => one.id === areaId);
    return (area?.months ?? [])
      .filter((one) => one.fill !== 'full')
      .map((one) => ({
        ...monthName(one.month, settings().locale),
        met: one.met,
        needed: one.needed,
        area: area?.name,
        href: `/lead/walks/new?area=${area?.slug}`,
      }));
  }

  function walk(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const parties = partiesOf(db.q, walk.id).map((party) => ({ ...party, phoneShown: party.phoneTyped, size: party.members.length }));
    const notices = walkNotices(db.q, walk.id).map((notice) => noticeLine(notice, walk.zone, settings()));
    const over = walk.state === 'closed' || walk.gatherAt <= now();
    return page(request, reply, 'lead/walk', {
      title: walkTitle(walk, settings().units),
      walk: { id: walk.id, theme: walk.theme, capacity: walk.capacity },
      meet: meetFrame(walk, settings()),
      figures: figures(walk, settings()),
      is: {
        draft: walk.state === 'draft',
        posted: walk.state === 'posted',
        cancelled: walk.state === 'cancelled',
        closed: walk.state === 'closed',
        over,
      },
      mayEdit: walk.state === 'draft' || walk.state === 'posted',
      cancelReason: walk.cancelReason,
      taken: placesTaken(db.q, walk.id),
      confirmed: parties.filter((party) => party.state === 'confirmed'),
      waiting: parties.filter((party) => party.state === 'waiting'),
      notices,
      failed: notices.filter((notice) => notice.failed),
      leaders: leadersOf(db.q, walk.id),
      mayCopy: walk.state !== 'draft' && request.visitor.person?.leader === true,
      copies: copyDates(walk).map((copy) => ({ ...copy, href: `/lead/walks/new?copy=${walk.id}&date=${copy.date}` })),
      changes: history(walk),
    });
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

  /** The plain sign-in sheet. Emergency contacts are on it only within their window, and only for this walk's leaders. */
  function pack(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const person = request.visitor.person;
    const leads = part !== 'coordinator' && person !== null;
    const contacts = leads && isOpen(walk, now()) ? openContacts(services, walk, person.id, 'sign-in sheet') : null;
    const area = areaOf(db.q, walk.areaId);
    const window = openWindow(walk);
    const rows = partiesOf(db.q, walk.id)
      .filter((party) => party.state === 'confirmed')
      .flatMap((party) =>
        party.members.map((member) => ({
          name: member.name,
          waiver: member.waiver,
          contact: contacts?.get(member.id) ?? null,
          broken: contacts !== null && !contacts.get(member.id),
        })),
      );
    return page(request, reply.header('Cache-Control', 'no-store'), 'lead/pack', {
      title: `Sign-in sheet: ${walkTitle(walk, settings().units)}`,
      walk: { id: walk.id },
      meet: meetFrame(walk, settings()),
      emergencyNumber: area.emergencyNumber,
      rows: rows.map((row, index) => ({ ...row, number: index + 1 })),
      blanks: Array.from({ length: BLANK_ROWS }, (_, index) => rows.length + index + 1),
      open: contacts !== null,
      forLeaders: leads,
      opensFrom: when(window.from, walk.zone, settings()),
      before: now() < window.from,
      printed: when(now(), walk.zone, settings()),
      leaders: leadersOf(db.q, walk.id),
    });
  }

  return { own, walk, pack };
}
