import { openingsOf } from '../contacts/openings.js';
import { ownApplications } from '../joining/me-applications.js';
import { ownLearning } from '../quiz/own.js';
import type { Services } from '../services.js';
import { notesKept } from '../standing/store.js';
import { offersAbout } from '../together/store.js';
import type { Person } from '../web/visitor.js';
import { leaderRecord, ownAudit, ownKeptContacts, ownMail, ownMessages, ownRoutes, ownSessions, ownWaivers, walksLed } from './me-store.js';
import { memberships, type OwnMember, type OwnSignUp, ownSignUps, partiesByNumber } from './own-signups.js';
import { personById } from './store.js';

/** Everything that is held about a person, nothing of it opened. */
export type Held = ReturnType<typeof heldAbout>;

export type HeldSignUp = OwnSignUp & { members: OwnMember[] };

/**
 * Everything that is held about someone signed in. A fixed number of statements.
 * @param most how many mails and entries of the log, the latest of them
 */
export function heldAbout(services: Services, visitor: Person, most: number) {
  const { q } = services.db;
  const self = personById(q, visitor.id);
  if (!self) throw new Error('a session without its person');
  const { id, email } = self;
  const own = ownSignUps(q, email);
  const parties = partiesByNumber(
    q,
    own.map((signUp) => signUp.id),
  );
  const signUps: HeldSignUp[] = own.map((signUp) => ({ ...signUp, members: parties.get(signUp.id) ?? [] }));
  const inOthers = memberships(q, email);
  const mail = ownMail(q, email, most);
  const leader = leaderRecord(q, id);
  return {
    self,
    roles: ['Walker', ...(visitor.leader ? ['Leader'] : []), ...(visitor.coordinator ? ['Coordinator'] : [])],
    isLeader: visitor.leader,
    signUps,
    memberships: inOthers,
    waivers: ownWaivers(q, email),
    mail: { all: mail[0]?.all ?? 0, latest: mail },
    openings: openingsOf(q, [
      ...signUps.flatMap(({ walkId, members }) => members.filter((one) => isOwn(one, email)).map((one) => ({ id: one.id, walkId }))),
      ...inOthers.map(({ id: member, walkId }) => ({ id: member, walkId })),
    ]),
    keptContacts: ownKeptContacts(q, id),
    sessions: ownSessions(q, id, services.now()),
    leader,
    messages: ownMessages(q, id),
    applications: ownApplications(q, id),
    walksLed: leader ? walksLed(q, id) : [],
    offers: offersAbout(q, id),
    routes: ownRoutes(q, id),
    learning: ownLearning(q, id),
    standingNotes: notesKept(q, id),
    audit: ownAudit(q, id, most),
  };
}

/** Whether the emergency contact of someone in a party is the booker's own affair: not that of an adult who signs by a link of their own. */
export function isOwn(member: Pick<OwnMember, 'ownAddress'>, email: string): boolean {
  return member.ownAddress === null || member.ownAddress === email;
}
