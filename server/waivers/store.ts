import { eq, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { waiverHead, waivers, waiverTraces } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { addressMark } from '../privacy/marks.js';
import type { GroupSettings } from '../settings/rules.js';
import { seasonBegan } from '../settings/season.js';
import { type GroupText, textAt } from '../texts/store.js';
import { headMark, linkHash } from './chain.js';
import { type Documented, formatFor, sha256, waiverDocument } from './document.js';
import { holds, nameKey, type Signing } from './rules.js';

/** What telling who has a waiver in force needs to know of the moment. */
export interface Moment {
  now: number;
  settings: GroupSettings;
}

/** For a walk that has begun, what counts is what was in force when people gathered: what they had signed then they had signed. Pure. */
export function momentOf({ gatherAt }: { gatherAt: number }, { now, settings }: Moment): Moment {
  return { now: Math.min(now, gatherAt), settings };
}

const signedTexts = prepared((q) =>
  q
    .select({
      email: waivers.email,
      forKey: waivers.forKey,
      signedAs: waivers.signedAs,
      signerKey: waivers.signerKey,
      signedAt: waivers.signedAt,
      signUpId: waivers.signUpId,
      unproved: sql<boolean>`${waivers.how} = 'page' AND ${waivers.proof} = 'none'`.mapWith(Boolean),
    })
    .from(waivers)
    .where(
      sql`${waivers.email} IN (SELECT value FROM json_each(${sql.placeholder('emails')})) AND ${waivers.textId} = ${sql.placeholder('textId')}`,
    )
    .prepare(),
);

/** Tells, for signers at some addresses, whose waiver is in force at a moment: a signature of the text then in force, from that season or given with this very sign-up. Two queries. */
export function inForce(q: Tx, moment: Moment, emails: string[]): (signing: Signing, signUpId?: number | null) => boolean {
  const rows = signedTexts(q).all({ emails: JSON.stringify([...new Set(emails)]), textId: textAt(q, 'waiver', moment.now).id });
  const at = { began: seasonBegan(moment.settings, moment.now) };
  return (signing, signUpId) => holds(rows, signing, signUpId === undefined ? at : { ...at, signUpId });
}

/** A signature to be kept for good. */
export interface Evidence extends Omit<Documented, 'text'> {
  text: GroupText;
  memberId: number | null;
  email: string;
}

/** Where a signature was typed. */
export interface Trace {
  address: string;
  agent: string;
}

const LONGEST_AGENT = 300;

/**
 * Keeps a signature as the next link of the chain, in the transaction it is given; gives its number. Never changed afterwards. Where the
 * chain's end is gone or was not written with this key, the signature is kept all the same, and the end is left for `verifyChain` to find.
 */
export function keepWaiver(tx: Tx, sealer: Sealer, evidence: Evidence, now: number, trace?: Trace): number {
  const { text, ...signed } = evidence;
  const end = ownEnd(tx, sealer);
  const row = {
    ...signed,
    textId: text.id,
    textSha256: text.sha256,
    addressMark: addressMark(sealer, signed.email),
    forKey: nameKey(signed.forName),
    signerKey: nameKey(signed.signerName),
    keptAt: now,
    format: formatFor(signed.signedAs),
    documentSha256: sha256(waiverDocument(evidence)),
    previous: end ? end.hash : (lastHash(tx).get()?.hash ?? ''),
  };
  const hash = linkHash(row);
  const added = waiverAdded(tx).get({ ...row, hash });
  if (!added) throw new Error('a signature was not kept');
  if (end) keepHead(tx, sealer, end.waivers + 1, hash);
  if (trace) keepTrace(tx, added.id, trace, now);
  return added.id;
}

/** Where the chain ends; null where that is not there, or was written by someone without the key. */
function ownEnd(tx: Tx, sealer: Sealer): { waivers: number; hash: string } | null {
  const head = headRow(tx).get();
  return head && headMark(sealer, head.waivers, head.hash) === head.mark ? head : null;
}

/** Writes where the chain ends now. */
export function keepHead(tx: Tx, sealer: Sealer, count: number, hash: string): void {
  headKept(tx).run({ count, hash, mark: headMark(sealer, count, hash) });
}

function keepTrace(tx: Tx, waiverId: number, trace: Trace, now: number): void {
  traceAdded(tx).run({ waiverId, address: trace.address, agent: trace.agent.slice(0, LONGEST_AGENT), now });
}

const headRow = prepared((q) =>
  q.select({ waivers: waiverHead.waivers, hash: waiverHead.hash, mark: waiverHead.mark }).from(waiverHead).prepare(),
);

const lastHash = prepared((q) =>
  q.select({ hash: waivers.hash }).from(waivers).where(eq(waivers.id, sql`(SELECT max(id) FROM waivers)`)).prepare(),
);

const headKept = prepared((q) =>
  q
    .insert(waiverHead)
    .values({ id: 1, waivers: sql.placeholder('count'), hash: sql.placeholder('hash'), mark: sql.placeholder('mark') })
    .onConflictDoUpdate({
      target: waiverHead.id,
      set: { waivers: sql`excluded.waivers`, hash: sql`excluded.hash`, mark: sql`excluded.mark` },
    })
    .prepare(),
);

const traceAdded = prepared((q) =>
  q
    .insert(waiverTraces)
    .values({
      waiverId: sql.placeholder('waiverId'),
      address: sql.placeholder('address'),
      agent: sql.placeholder('agent'),
      at: sql.placeholder('now'),
    })
    .prepare(),
);

const waiverAdded = prepared((q) =>
  q
    .insert(waivers)
    .values({
      how: sql.placeholder('how'),
      textId: sql.placeholder('textId'),
      textSha256: sql.placeholder('textSha256'),
      signUpId: sql.placeholder('signUpId'),
      memberId: sql.placeholder('memberId'),
      email: sql.placeholder('email'),
      addressMark: sql.placeholder('addressMark'),
      forName: sql.placeholder('forName'),
      forKey: sql.placeholder('forKey'),
      signedAs: sql.placeholder('signedAs'),
      signerName: sql.placeholder('signerName'),
      signerKey: sql.placeholder('signerKey'),
      signature: sql.placeholder('signature'),
      intent: sql.placeholder('intent'),
      consent: sql.placeholder('consent'),
      proof: sql.placeholder('proof'),
      seenBy: sql.placeholder('seenBy'),
      signedAt: sql.placeholder('signedAt'),
      keptAt: sql.placeholder('keptAt'),
      format: sql.placeholder('format'),
      documentSha256: sql.placeholder('documentSha256'),
      previous: sql.placeholder('previous'),
      hash: sql.placeholder('hash'),
    })
    .returning({ id: waivers.id })
    .prepare(),
);
