import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Seen } from '../coverage/changes.js';
import { seenBy } from '../coverage/visits-store.js';
import { ownRoll } from '../day/me-roll.js';
import { applicationJson } from '../joining/me-applications.js';
import { dayNames } from '../joining/weekdays.js';
import { asksAbout } from '../proposals/asks-store.js';
import type { Services } from '../services.js';
import { signUpLink } from '../signups/link.js';
import type { NamedWalk } from '../walks/named.js';
import { walkTitle } from '../walks/title.js';
import { iso } from '../web/when.js';
import { type Held, heldAbout, isOwn } from './me-held.js';
import { signedInPerson } from './me-person.js';
import type { LeaderRecord } from './me-store.js';
import type { OwnMember } from './own-signups.js';

/** What of a party member is sealed, where it was opened for the person themself; `null` where it does not open. */
export type Opened = ReadonlyMap<number, unknown>;

/** All that is held about the person signed in, for a program. Opens nothing. */
export function meJson(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    reply.header('Cache-Control', 'no-store');
    return reply.send(heldJson(services, heldAbout(services, signedInPerson(request), Number.MAX_SAFE_INTEGER)));
  };
}

/**
 * All of it in the words of the JSON; instants in UTC. server/privacy/columns.ts says where each column is found here.
 * @param opened emergency contacts by party member, and those kept for the next sign-up by their number; none where nothing was opened
 */
export function heldJson(services: Services, held: Held, opened?: { contacts: Opened; kept: Opened; turnedUp: Opened }) {
  const { self } = held;
  const { baseUrl } = services.config;
  const { units } = services.settings();
  const walkOf = (walk: NamedWalk) => ({
    walk: `${baseUrl}/walks/${walk.walkId}`,
    title: walkTitle(walk, units),
    gather: iso(walk.gatherAt),
    zone: walk.zone,
  });
  return {
    name: self.name,
    email: self.email,
    phone: self.phone,
    roles: held.roles,
    since: iso(self.createdAt),
    sessions: held.sessions.map((one) => ({ started: iso(one.createdAt), lastSeen: iso(one.seenAt), ends: iso(one.expiresAt) })),
    signUps: held.signUps.map((signUp) => ({
      ...walkOf(signUp),
      walkState: signUp.walkState,
      state: signUp.state,
      name: signUp.name,
      phone: signUp.phone,
      phoneTyped: signUp.phoneTyped,
      people: signUp.partySize,
      signedUp: iso(signUp.createdAt),
      withdrawn: iso(signUp.withdrawnAt),
      rulesVersion: signUp.rulesVersion,
      rulesAgreed: iso(signUp.rulesAgreedAt),
      toldOfVersion: signUp.toldVersion,
      addressShown: iso(signUp.provedAt),
      privatePage: signUpLink(services.sealer, baseUrl, signUp.id),
      members: signUp.members.map((one) => memberJson(one, isOwn(one, self.email) ? openedAs(opened?.contacts, one.id) : THEIRS)),
    })),
    partiesOfOthers: held.memberships.map((one) => ({
      ...walkOf(one),
      walkState: one.walkState,
      state: one.state,
      bookedBy: one.bookedBy,
      member: memberJson(one, openedAs(opened?.contacts, one.id)),
    })),
    waivers: held.waivers.map(({ id, signedAt, keptAt, signUpId, ...rest }) => ({
      ...rest,
      signedAt: iso(signedAt),
      keptAt: iso(keptAt),
      withSignUp: signUpId,
      document: `${baseUrl}/me/waivers/${id}`,
    })),
    mail: held.mail.latest.map(({ kind, state, toName, createdAt, at, attempts, lastError, walkId }) => ({
      kind,
      state,
      toName,
      made: iso(createdAt),
      at: iso(at),
      attempts,
      lastError,
      walk: walkId === null ? null : `${baseUrl}/walks/${walkId}`,
    })),
    emergencyDetailsOpened: held.openings.map(({ memberId, at, by, why }) => ({ member: memberId, at: iso(at), by, why })),
    roll: rollOf(services, held).map(({ walkId, who, said, receivedAt, byPersonId }) => ({
      walk: `${baseUrl}/walks/${walkId}`,
      onRollAs: who,
      said,
      heard: iso(receivedAt),
      by: byPersonId === self.id ? 'you' : 'a leader of the walk',
    })),
    turnedUp: held.turnedUp.map((one) => ({
      ...walkOf(one),
      number: one.id,
      onRollAs: `t${one.key}`,
      name: one.name,
      minor: one.minor,
      guardian: one.guardian,
      phone: one.phone,
      added: iso(one.addedAt),
      rulesVersion: one.rulesVersion,
      rulesAgreed: iso(one.rulesAgreedAt),
      waiver: one.waiver,
      emergencyContact: one.hasContact ? openedAs(opened?.turnedUp, one.id) : null,
    })),
    turnedUpDetailsOpened: held.openingsOnTheDay.map(({ memberId, at, by, why }) => ({ turnedUp: memberId, at: iso(at), by, why })),
    incidents: held.incidents.map((one) => ({
      ...walkOf(one),
      incident: one.id,
      about: one.about,
      written: iso(one.written),
      by: one.byYou ? 'you' : 'someone else',
      emergencyServicesCalled: one.called,
      state: one.state,
      due: one.dueOn,
      followedUpBy: one.followedUpByYou ? 'you' : 'someone else, or nobody',
      outcome: one.outcome,
      closed: iso(one.closedAt),
    })),
    keptContacts: held.keptContacts.map(({ id, forName, keptAt, expiresAt }) => ({
      for: forName,
      kept: iso(keptAt),
      until: iso(expiresAt),
      contact: openedAs(opened?.kept, id),
    })),
    leader: held.leader && leaderJson(held.leader),
    applications: held.applications.map(applicationJson),
    walksLed: held.walksLed.map((one) => ({
      ...walkOf(one),
      state: one.state,
      part: one.part,
      versionsWritten: one.versionsWritten,
      forecastTyped: iso(one.forecastAt),
    })),
    walkLog: held.walkLog.map((one) => ({ ...walkOf(one), name: one.name, outcome: one.outcome, metres: one.metres })),
    hazardsNoted: held.hazards.map((one) => ({
      walk: `${baseUrl}/walks/${one.walkId}`,
      place: one.place,
      what: one.what,
      until: one.untilDate === '' ? null : one.untilDate,
      noted: iso(one.notedAt),
      gone: iso(one.goneAt),
    })),
    messages: held.messages.map(({ walkId, fromName, subject, text, at, audience, count }) => ({
      walk: `${baseUrl}/walks/${walkId}`,
      from: fromName,
      subject,
      text,
      sent: iso(at),
      to: audience,
      mails: count,
    })),
    offers: held.offers.map((one) => ({
      ...walkOf(one),
      kind: one.kind,
      askedOf: one.toThem ? 'you' : 'someone else',
      note: one.note,
      words: one.words,
      leaderStays: one.stays,
      state: one.state,
      made: iso(one.createdAt),
      ended: iso(one.endedAt),
    })),
    asks: asksAbout(services.db.q, self.id).map(askJson),
    standingNotes: held.standingNotes.map(({ title, body, goesInto, createdAt }) => ({
      title,
      text: body,
      goesInto,
      kept: iso(createdAt),
    })),
    boardSeen: boardSeenJson(seenBy(services.db.q, self.id)),
    routes: held.routes.map(({ id, createdAt, lengthMetres, shape }) => ({ route: id, brought: iso(createdAt), lengthMetres, shape })),
    handbookRead: held.learning.handbookRead.map(({ page, at }) => ({ page: `${baseUrl}/handbook/${page}`, at: iso(at) })),
    quiz: held.learning.quiz.map(({ startedAt, endedAt, ...rest }) => ({ started: iso(startedAt), ended: iso(endedAt), ...rest })),
    log: held.audit.map(({ at, personId, action, subject, detail }) => ({
      at: iso(at),
      by: personId === self.id ? 'you' : 'someone else',
      action,
      subject,
      detail,
    })),
  };
}

/** Of their own members, of themself in others' parties, and of themself where they turned up. */
function rollOf({ db }: Services, { signUps, memberships, self }: Held) {
  const own = signUps.flatMap(({ members }) => members.filter((one) => isOwn(one, self.email)));
  return ownRoll(
    db.q,
    [...own, ...memberships].map((one) => one.id),
    self.email,
  );
}

function askJson({ areaName, dayKind, answeredAt, askedAt, toThem, ...rest }: ReturnType<typeof asksAbout>[number]) {
  return {
    ...rest,
    area: areaName,
    kind: dayKind,
    askedOf: toThem ? 'you' : 'someone else',
    made: iso(askedAt),
    answered: iso(answeredAt),
  };
}

function leaderJson({ agreementDueAt, days, ...leader }: LeaderRecord) {
  return {
    ...leader,
    days: dayNames(days),
    createdAt: iso(leader.createdAt),
    agreementDue: iso(agreementDueAt),
    calendarMade: iso(leader.calendarMade),
    excusedMonths: leader.excusedMonths.map((one) => ({ ...one, at: iso(one.at) })),
    terms: leader.terms.map((one) => ({ ...one, approved: iso(one.approved) })),
  };
}

function boardSeenJson(seen: Seen | undefined) {
  return seen ? { at: iso(seen.seenAt), until: seen.untilMonth, gaps: seen.gaps } : null;
}

function memberJson(one: OwnMember, contact: unknown) {
  return {
    member: one.id,
    name: one.name,
    minor: one.minor,
    turns18: one.adultOn === '' ? null : one.adultOn,
    signsAt: one.ownAddress,
    photosAllowed: one.photos,
    removed: iso(one.removedAt),
    rulesAgreed: iso(one.rulesAgreedAt),
    rulesVersion: one.rulesVersion,
    emergencyContact: one.hasContact ? contact : null,
  };
}

const SEALED = 'sealed: "Save everything" on your page opens it';
const THEIRS = 'sealed: they can open it themselves';
const BROKEN = 'sealed, and cannot be opened: please type it again';

/** A sealed value, or why it is not there. */
function openedAs(opened: Opened | undefined, id: number): unknown {
  if (!opened?.has(id)) return SEALED;
  return opened.get(id) ?? BROKEN;
}
