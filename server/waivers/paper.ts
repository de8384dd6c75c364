import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { oweWaiverCopy } from '../notices/owe-signing.js';
import type { Services } from '../services.js';
import { underGuardians } from '../signups/minors.js';
import { type PartyMember, partiesOf } from '../signups/party.js';
import { type GroupText, textAt } from '../texts/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { keepWaiver, type Moment, momentOf } from './store.js';
import { PAPER_INTENT } from './words.js';

const DAY_MS = 24 * 60 * 60 * 1000;
/** How long after a walk its sheets can be kept (common practice, no source). */
export const PAPER_DAYS = 30;

/** Why nothing can be signed on paper for a walk; null where it can. Pure. */
export function paperClosed(walk: Pick<WalkRow, 'state' | 'gatherAt'>, now: number): string | null {
  if (walk.state === 'cancelled') return 'This walk is cancelled: there is nothing to sign.';
  if (walk.state === 'draft') return 'This walk is a draft: nobody has signed up, so there is nothing to sign.';
  if (now >= walk.gatherAt + PAPER_DAYS * DAY_MS)
    return `This walk was more than ${PAPER_DAYS} days ago: keep the sheets on file, and ask the coordinator to bring them in as a list.`;
  return null;
}

/** Someone who has yet to sign. */
export interface Unsigned extends PartyMember {
  signUpId: number;
  booker: { name: string; email: string };
  /** What there is to sign. */
  text: GroupText;
}

/** The waiver that a walk's sheets show: the one in force now, or, once people have gathered, the one that was then. */
export function sheetText(q: Tx, walk: Pick<WalkRow, 'gatherAt'>, moment: Moment): GroupText {
  return textAt(q, 'waiver', momentOf(walk, moment).now);
}

/** Everyone confirmed on a walk without a waiver in force, each party's minors under their guardian. */
export function unsignedOf(q: Tx, walk: Pick<WalkRow, 'id' | 'gatherAt'>, moment: Moment): Unsigned[] {
  return unsignedAmong(partiesOf(q, walk.id, moment), sheetText(q, walk, moment));
}

/** The same where the walk's parties and the text have been read. Pure. */
export function unsignedAmong(parties: ReturnType<typeof partiesOf>, text: GroupText): Unsigned[] {
  return parties
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) =>
      underGuardians(party.members)
        .filter((member) => !member.waiver)
        .map((member) => ({ ...member, signUpId: party.id, booker: { name: party.name, email: party.email }, text })),
    );
}

interface Seen {
  walk: Pick<WalkRow, 'id' | 'gatherAt'>;
  /** Party members whose signature is on a sheet. */
  members: Set<number>;
  seenBy: string;
  /** Who tells it. */
  by: number;
}

/**
 * Keeps a signature for each of these who has none in force, with who saw it, and owes each signer a copy; gives how many. Those of other
 * walks, those signed already, and a minor whose guardian is not in the party change nothing.
 */
export function keepPaper(services: Services, seen: Seen): number {
  const { db, settings, now } = services;
  const count = db.write((tx) => {
    const members = unsignedOf(tx, seen.walk, { now: now(), settings: settings() }).filter((member) => seen.members.has(member.id));
    const kept = members.flatMap((member) => keepOne(tx, services, member, seen.seenBy));
    if (kept.length === 0) return 0;
    const detail = { members: kept.map((one) => one.memberId), seenBy: seen.seenBy };
    writeDown(tx, { at: now(), personId: seen.by, action: 'kept waivers signed on paper', subject: `walk:${seen.walk.id}`, detail });
    oweCopies(tx, services, kept);
    return kept.length;
  });
  services.mailOwed();
  return count;
}

interface Kept {
  waiverId: number;
  memberId: number;
  signUpId: number;
  to: { name: string; email: string };
}

function keepOne(tx: Tx, { sealer, now }: Services, member: Unsigned, seenBy: string): Kept[] {
  if (!member.signing) return [];
  const { signUpId, id: memberId, booker } = member;
  const { email, forName, signedAs, signerName } = member.signing;
  const signer = { email, forName, signedAs, signerName, signature: signerName };
  const sheet = { how: 'paper', intent: PAPER_INTENT, consent: '', proof: 'none', seenBy, signedAt: now() } as const;
  const waiverId = keepWaiver(tx, sealer, { ...signer, ...sheet, text: member.text, signUpId, memberId }, now());
  return [{ waiverId, memberId, signUpId, to: email === booker.email ? booker : { name: signerName, email } }];
}

/** One mail for each address of a party, with all that was signed by it. */
function oweCopies(tx: Tx, services: Services, kept: Kept[]): void {
  const copies = new Map<string, { signUpId: number; waiverIds: number[]; to: Kept['to'] }>();
  for (const { signUpId, waiverId, to } of kept) {
    const key = `${signUpId} ${to.email}`;
    copies.set(key, { signUpId, waiverIds: [...(copies.get(key)?.waiverIds ?? []), waiverId], to });
  }
  for (const copy of copies.values()) oweWaiverCopy(tx, oweContext(services), copy);
}
