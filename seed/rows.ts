import type { Db } from '../server/db/open.js';
import { hashed, type Sealer } from '../server/db/seal.js';
import type { NoticeKind, WalkContent } from '../server/notices/content.js';
import { giveUpAt } from '../server/notices/due.js';
import { signUpTokenHash } from '../server/signups/link.js';
import { nameKey } from '../server/waivers/rules.js';
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

export interface LaidSignUp {
  walk: LaidWalk;
  walker: Someone;
  /** Names, the walker's own first. */
  party: string[];
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
  waiver: { id: number; sha256: string };
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
    for (const [index, name] of laid.party.entries()) member(laid, name, laid.contacts[index]);
    return signUps;
  }

  function member(laid: LaidSignUp, name: string, contact: LaidSignUp['contacts'][number] | undefined): void {
    members += 1;
    insert.member.run(members, signUps, name);
    if (contact)
      insert.contact.run(members, sealer.seal({ table: 'emergency_contacts', column: 'sealed', row: members }, contact), laid.createdAt);
    const key = nameKey(name);
    const { email } = laid.walker;
    if (signed.has(`${email} ${key}`)) return;
    signed.add(`${email} ${key}`);
    insert.waiver.run(waiver.id, waiver.sha256, signUps, members, email, name, key, name, laid.createdAt);
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
