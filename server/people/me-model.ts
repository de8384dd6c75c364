import { lengthWords } from '../calc/measure.js';
import { keptContacts } from '../contacts/kept.js';
import { KINDS, STATE_WORDS } from '../notices/kinds.js';
import { contactsGoAt } from '../privacy/timetable.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { signUpLink } from '../signups/link.js';
import { walkTitle } from '../walks/title.js';
import { monthName, type When, when } from '../web/when.js';
import { dayRows, onTheDay } from './me-day-rows.js';
import { type Held, type HeldSignUp, isOwn } from './me-held.js';
import { openingRows } from './me-openings.js';
import type { Membership, OwnMember, OwnSignUp } from './own-signups.js';

/** Past walks shown on the page; all of them are in the JSON. */
const PAST_SHOWN = 20;

const STATES = { confirmed: 'Coming', waiting: 'Waiting for a place', withdrawn: 'Withdrawn' };
/** Of a walk that has begun: who came is another matter. */
const PAST_STATES = { confirmed: 'Signed up', waiting: 'Waited for a place', withdrawn: 'Withdrawn' };
const HOW = { page: 'typed on this site', paper: 'on paper', file: 'on file elsewhere' };

/** One walk someone is or was signed up for, as the page shows it. */
interface WalkRow {
  at: number;
  title: string;
  when: When;
  href: string;
  state: string;
  people: string;
  /** "Ana, Ben (under 18)" */
  party: string;
  /** Who booked it, where that was somebody else. */
  bookedBy: string | null;
  /** The rules that an absent adult agreed to themself; null for all others. */
  rules: { version: number; at: When } | null;
  /** "Ana and Ben, until Mar 1, 2027", or null where no emergency contact is kept. */
  contacts: string | null;
  isPast: boolean;
}

/** What the page shows of all that is held. */
export function meModel(services: Services, held: Held) {
  const settings = services.settings();
  const zone = homeZone(services);
  const at = (ms: number) => when(ms, zone, settings);
  const rows = [...held.signUps.map((one) => bookedRow(services, held, one)), ...membershipRows(services, held)].sort(
    (a, b) => a.at - b.at,
  );
  const past = rows.filter((row) => row.isPast).reverse();
  const day = onTheDay(held);
  return {
    email: held.self.email,
    roles: held.roles.join(', '),
    leader: held.isLeader,
    since: at(held.self.createdAt),
    coming: rows.filter((row) => !row.isPast),
    past: past.slice(0, PAST_SHOWN),
    earlier: Math.max(0, past.length - PAST_SHOWN),
    waivers: held.waivers.map((one) => ({
      href: `/me/waivers/${one.id}`,
      forName: one.forName,
      forSomeone: one.signedAs === 'guardian',
      isAgreement: one.signedAs === 'leader',
      signerName: one.signerName,
      version: one.textVersion,
      how: HOW[one.how],
      at: at(one.signedAt),
      from: one.signedFrom,
      withBrowser: one.signedWith,
    })),
    // Opened for their owner alone: what is kept is known again by relation and last digits.
    keptContacts: keptContacts(services, held.self.id).map((one) => ({ ...one, until: at(one.expiresAt) })),
    openings: openingRows(
      [...held.openings, ...day.openings].sort((a, b) => b.at - a.at),
      new Map([...namesByMember(held), ...day.names]),
      at,
    ),
    ...dayRows(services, held),
    mail: held.mail.latest.map((one) => ({
      kind: KINDS[one.kind].label,
      walk: one.routeName,
      state: STATE_WORDS[one.state],
      at: at(one.at),
    })),
    mailCount: held.mail.all,
    mailMore: held.mail.all > held.mail.latest.length,
    record: leaderRows(services, held, at),
    learning: learningRows(held, at),
    audit: held.audit
      .filter((one) => one.personId === held.self.id)
      .map((one) => ({ action: one.action, subject: one.subject.replace(':', ' '), at: at(one.at) })),
    browsers: held.sessions.map((one) => ({ started: at(one.createdAt), seen: at(one.seenAt) })),
    sessions: held.sessions.length === 1 ? 'in this browser only' : `in ${held.sessions.length} browsers`,
  };
}

/** Handbook and quiz; null where they have looked at neither. */
function learningRows({ learning }: Held, at: (ms: number) => When) {
  if (learning.handbookRead.length + learning.quiz.length === 0) return null;
  const pages = learning.handbookRead.length;
  return {
    read: pages === 0 ? null : `${pages} ${pages === 1 ? 'page' : 'pages'}`,
    attempts: learning.quiz.map(({ startedAt, endedAt, right, passed, questions }) => ({
      at: at(endedAt ?? startedAt),
      words: endedAt === null ? 'under way' : `${right} of ${questions.length} right, ${passed ? 'passed' : 'not passed'}`,
    })),
  };
}

function namesByMember(held: Held): Map<number, string> {
  return new Map([...held.signUps.flatMap((one) => one.members), ...held.memberships].map((one) => [one.id, one.name]));
}

function bookedRow(services: Services, held: Held, signUp: HeldSignUp): WalkRow {
  const members = signUp.members.filter((one) => one.removedAt === null);
  return {
    ...walkRow(services, signUp),
    href: signUpLink(services.sealer, '', signUp.id),
    people: signUp.partySize === 1 ? '1 person' : `${signUp.partySize} people`,
    party: partyWords(members),
    bookedBy: null,
    rules: null,
    contacts: contactWords(
      services,
      signUp,
      members.filter((one) => isOwn(one, held.self.email)),
    ),
  };
}

/** One row a party: the person, and the minors whose guardian they are. */
function membershipRows(services: Services, held: Held): WalkRow[] {
  const bySignUp = new Map<number, Membership[]>();
  for (const one of held.memberships) bySignUp.set(one.signUpId, [...(bySignUp.get(one.signUpId) ?? []), one]);
  return [...bySignUp.values()].flatMap((members) => {
    const [first] = members;
    if (!first) return [];
    const gone = members.every((one) => one.removedAt !== null);
    return {
      ...walkRow(services, gone ? { ...first, state: 'withdrawn' } : first),
      href: `/walks/${first.walkId}`,
      people: members.length === 1 ? '1 person' : `${members.length} people`,
      party: partyWords(members),
      bookedBy: first.bookedBy,
      rules: rulesAgreed(services, first.zone, members),
      contacts: contactWords(services, first, members),
    };
  });
}

type SignedUpFor = Pick<OwnSignUp, keyof Membership & keyof OwnSignUp>;

function walkRow(services: Services, one: Omit<SignedUpFor, 'id' | 'name' | 'rulesAgreedAt' | 'rulesVersion'>) {
  const settings = services.settings();
  const isPast = one.gatherAt < services.now();
  return {
    at: one.gatherAt,
    title: walkTitle(one, settings.units),
    when: when(one.gatherAt, one.zone, settings),
    state: one.walkState === 'cancelled' ? 'Walk cancelled' : (isPast ? PAST_STATES : STATES)[one.state],
    isPast,
  };
}

function rulesAgreed(services: Services, zone: string, members: OwnMember[]): WalkRow['rules'] {
  const own = members.find((one) => one.rulesAgreedAt !== null && one.rulesVersion !== null);
  if (!own || own.rulesAgreedAt === null || own.rulesVersion === null) return null;
  return { version: own.rulesVersion, at: when(own.rulesAgreedAt, zone, services.settings()) };
}

function partyWords(members: OwnMember[]): string {
  return members.map((one) => (one.minor ? `${one.name} (under 18)` : one.name)).join(', ');
}

function contactWords(
  services: Services,
  walk: { gatherAt: number; closedAt: number | null; cancelledAt: number | null; zone: string },
  members: OwnMember[],
): string | null {
  const names = members.filter((one) => one.hasContact).map((one) => one.name);
  if (names.length === 0) return null;
  return `${names.join(', ')}, until ${when(contactsGoAt(walk, services.settings()), walk.zone, services.settings()).fullDate}`;
}

/** What is kept of a leader; null for someone who never was one. */
function leaderRows(services: Services, { leader, walksLed, routes }: Held, at: (ms: number) => When) {
  if (!leader) return null;
  const settings = services.settings();
  const month = (yearMonth: string) => {
    const { name, year } = monthName(yearMonth, settings.locale);
    return `${name} ${year}`;
  };
  return {
    area: leader.area,
    standing: leader.state === 'approved' ? 'Leader' : 'Stood down',
    since: month(leader.sinceMonth),
    terms: leader.terms.map((one) => ({ from: month(one.fromMonth), until: one.untilMonth === null ? null : month(one.untilMonth) })),
    mailsOff: leader.monthlyMail === 'off',
    pledges: leader.pledges.map((one) => ({ walks: one.walks, from: month(one.fromMonth) })),
    excused: leader.excusedMonths.map((one) => ({ month: month(one.month), reason: one.reason })),
    walks: walksLed.map((one) => ({
      title: walkTitle(one, settings.units),
      href: `/lead/walks/${one.walkId}`,
      when: when(one.gatherAt, one.zone, settings),
      detail: `${one.part}, ${one.state}`,
    })),
    routes: routes.map((one) => ({ length: lengthWords(one.lengthMetres, settings.units), shape: one.shape, at: at(one.createdAt) })),
  };
}
