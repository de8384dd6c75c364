import type { Db } from '../server/db/open.js';
import { hashed, type Sealer } from '../server/db/seal.js';
import type { NoticeKind, WalkContent } from '../server/notices/content.js';
import { giveUpAt } from '../server/notices/due.js';
import { signingTokenHash, signUpTokenHash } from '../server/signups/link.js';
import type { GroupText } from '../server/texts/store.js';
import { keepWaiver } from '../server/waivers/store.js';
import { CONSENT, INTENT } from '../server/waivers/words.js';
import type { WalkFacts } from '../server/walks/facts.js';
import type { contactFor, Someone } from './names.js';
import { prepare } from './statements.js';

/** One version of a walk, oldest first in {@link LaidWalk}. */
export interface Version {
  kind: 'created' | 'posted' | 'edited' | 'cancelled';
  facts: WalkFacts;
  at: number;
}

export interface LaidWalk {
  id: number;
  uid: string;
  versions: [Version, ...Version[]];
  /** The facts as they stand: those of the last version. */
  facts: WalkFacts;
  month: string;
  leaderId: number;
  coLeaderId: number | null;
  state: 'posted' | 'cancelled' | 'closed';
  sequence: number;
  moved: string;
  postedAt: number;
  closedAt: number | null;
  cancelled: { kind: 'safety' | 'other'; reason: string; at: number } | null;
}

/** Someone in a party. */
export interface LaidMember {
  name: string;
  /** Under 18: the walker is their guardian. */
  minor?: boolean;
  /** Not there at the booking, and yet to sign by a link mailed here. */
  email?: string;
  photos: boolean;
}

export interface LaidSignUp {
  walk: LaidWalk;
  walker: Someone;
  /** The walker first. */
  party: LaidMember[];
  state: 'confirmed' | 'waiting' | 'withdrawn';
  createdAt: number;
  withdrawnAt: number | null;
  /** One a party member; empty where they have been removed on time. */
  contacts: ReturnType<typeof contactFor>[];
}

/** What rows refer to beside one another. */
export interface Ground {
  db: Db;
  sealer: Sealer;
  rules: { id: number };
  waiver: GroupText;
  /** The host of every address that the service makes. */
  host: string;
}

/** Writes rows of the region with statements prepared once. Belongs inside one write transaction on a database that holds no walks. */
export function rowWriter(ground: Ground) {
  const { db, sealer, rules, waiver, host } = ground;
  const insert = prepare(db.raw);
  const signed = new Set<string>();
  let signUps = 0;
  let members = 0;

  function walk(laid: LaidWalk): void {
    const { facts, versions } = laid;
    insert.walk.run({
      ...facts,
      ...{ id: laid.id, uid: laid.uid, state: laid.state, version: versions.length, sequence: laid.sequence, month: laid.month },
      ...{
        stops: JSON.stringify(facts.stops),
        explained: JSON.stringify(facts.explained),
        surfaces: JSON.stringify(facts.surfaces),
        stepFree: Number(facts.stepFree),
        dogs: Number(facts.dogs),
        minors: Number(facts.minors),
      },
      ...{ moved: laid.moved, cancelKind: laid.cancelled?.kind ?? null, cancelReason: laid.cancelled?.reason ?? null },
      ...{ createdAt: versions[0].at, updatedAt: versions.at(-1)?.at, postedAt: laid.postedAt },
      ...{ cancelledAt: laid.cancelled?.at ?? null, closedAt: laid.closedAt },
    });
    insert.walkLeader.run(laid.id, laid.leaderId, 'leader');
    if (laid.coLeaderId !== null) insert.walkLeader.run(laid.id, laid.coLeaderId, 'co-leader');
    for (const [index, version] of versions.entries())
      insert.walkChange.run(laid.id, index + 1, version.kind, laid.leaderId, JSON.stringify(version.facts), version.at);
  }

  /** Gives the sign-up's number. Everyone without a waiver in force signs one. */
  function signUp(laid: LaidSignUp): number {
    signUps += 1;
    const { walker, createdAt } = laid;
    insert.signUp.run({
      ...{ id: signUps, walkId: laid.walk.id, tokenHash: signUpTokenHash(sealer, signUps), postMark: `demo-${signUps}`, state: laid.state },
      ...{ name: walker.name, email: walker.email, phone: walker.phone, phoneTyped: walker.phoneTyped, partySize: laid.party.length },
      ...{ rulesTextId: rules.id, createdAt, toldVersion: laid.walk.versions.length, withdrawnAt: laid.withdrawnAt },
    });
    const first = members + 1;
    for (const [index, one] of laid.party.entries()) member(laid, one, laid.contacts[index], first);
    return signUps;
  }

  function member(laid: LaidSignUp, one: LaidMember, contact: LaidSignUp['contacts'][number] | undefined, guardianId: number): void {
    members += 1;
    const minor = one.minor === true;
    insert.member.run({
      ...{ id: members, signUpId: signUps, name: one.name, minor: Number(minor), guardianId: minor ? guardianId : null },
      ...{ email: one.email ?? null, photos: Number(one.photos) },
      signTokenHash: one.email === undefined ? null : signingTokenHash(sealer, members, one.email),
    });
    if (one.email !== undefined) return;
    if (contact)
      insert.contact.run(members, sealer.seal({ table: 'emergency_contacts', column: 'sealed', row: members }, contact), laid.createdAt);
    const { email, name } = laid.walker;
    const key = `${email} ${one.name} ${minor}`;
    if (signed.has(key)) return;
    signed.add(key);
    const signerName = minor ? name : one.name;
    const signing = { email, forName: one.name, signedAs: minor ? 'guardian' : 'self', signerName, signature: signerName } as const;
    const page = { how: 'page', text: waiver, intent: INTENT, consent: CONSENT, proof: 'none', seenBy: '' } as const;
    keepWaiver(db.q, sealer, { ...page, ...signing, signUpId: signUps, memberId: members, signedAt: laid.createdAt }, laid.createdAt);
  }

  /** A notice that no mail server was there for: kept in the database, to be read at /coordinate/mail. */
  function keptNotice({ kind, event, at }: { kind: NoticeKind; event: string; at: number }, laid: LaidSignUp, content: WalkContent): void {
    const { walker, walk } = laid;
    insert.notice.run({
      ...{
        event,
        kind,
        walkId: walk.id,
        signUpId: content.signUp.id,
        version: content.version,
        toName: walker.name,
        toEmail: walker.email,
      },
      ...{
        messageId: `<${hashed(event).slice(0, 32)}@${host}>`,
        content: JSON.stringify({ walk: content }),
        at,
        giveUpAt: giveUpAt(at, walk.facts.gatherAt),
      },
    });
  }

  return { walk, signUp, keptNotice };
}
