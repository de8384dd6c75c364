import { and, desc, eq, gt, isNotNull, isNull, lt, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { signInLinks } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import type { Services } from '../services.js';
import { signInCode, signInToken } from './links.js';

export type SignInLink = typeof signInLinks.$inferSelect;

const MINUTE_MS = 60_000;
/** A link signs in for this long after it was asked for. */
export const LINK_MS = 10 * MINUTE_MS;
const HOUR_MS = 60 * MINUTE_MS;
const MOST_MAILS_AN_HOUR = 3;
/** However many browsers ask: a mailbox is not to be flooded, and its owner not to be locked out by three strangers. */
const MOST_MAILS_TO_ONE_ADDRESS = 30;
export const MOST_WRONG_CODES = 5;
/** Spent and expired links are kept a day, so that their page can say what happened to them. */
export const KEPT_MS = 24 * HOUR_MS;

export interface NewLink {
  email: string;
  /** The ask cookie of the browser; null where the operator prints the link, which then works in any browser. */
  browser: string | null;
  /** A path on this site, made safe. */
  next: string | null;
}

/**
 * Makes a sign-in link. Its number is random, not counted: token and code are worked out from it, and a number that came back after
 * old links were removed would bring back an old token. `stillborn` makes a row that never signs in, so that a refused ask costs as
 * much as a granted one.
 */
export function makeLink(
  tx: Tx,
  services: Pick<Services, 'now' | 'secret' | 'sealer'>,
  link: NewLink,
  stillborn = false,
): { id: number; expiresAt: number } {
  const now = services.now();
  const id = Number.parseInt(hashed(services.secret()).slice(0, 13), 16);
  const expiresAt = stillborn ? now : now + LINK_MS;
  tx.insert(signInLinks)
    .values({
      id,
      email: link.email,
      tokenHash: hashed(signInToken(services.sealer, id)),
      codeHash: codeHash(services, signInCode(services.sealer, id)),
      browserHash: link.browser === null ? null : hashed(link.browser),
      next: link.next,
      createdAt: now,
      expiresAt,
    })
    .run();
  return { id, expiresAt };
}

/** What the table keeps of a typed code: keyed, since 40 bits alone could be searched through. */
export function codeHash(services: Pick<Services, 'sealer'>, code: string): string {
  return services.sealer.derive('sign-in-code-hash', code);
}

/** Whether this browser has asked for as many sign-in mails to this address this hour as one may, or all browsers together have. */
export function askedEnough(tx: Tx, email: string, browser: string, now: number): boolean {
  const mailed = tx
    .select({ browserHash: signInLinks.browserHash })
    .from(signInLinks)
    .where(
      and(
        eq(signInLinks.email, email),
        gt(signInLinks.createdAt, now - HOUR_MS),
        isNotNull(signInLinks.browserHash),
        gt(signInLinks.expiresAt, signInLinks.createdAt),
      ),
    )
    .limit(MOST_MAILS_TO_ONE_ADDRESS)
    .all();
  const own = mailed.filter((link) => link.browserHash === hashed(browser));
  return own.length >= MOST_MAILS_AN_HOUR || mailed.length >= MOST_MAILS_TO_ONE_ADDRESS;
}

export function forgetOldLinks(tx: Tx, now: number): void {
  tx.delete(signInLinks)
    .where(lt(signInLinks.expiresAt, now - KEPT_MS))
    .run();
}

export function linkByToken(q: Tx, token: string): SignInLink | undefined {
  return q
    .select()
    .from(signInLinks)
    .where(eq(signInLinks.tokenHash, hashed(token)))
    .get();
}

/** The links this browser asked for, newest first. */
export function linksOfBrowser(q: Tx, browser: string): SignInLink[] {
  return q
    .select()
    .from(signInLinks)
    .where(eq(signInLinks.browserHash, hashed(browser)))
    .orderBy(desc(signInLinks.createdAt))
    .all();
}

/** Spends a link that is still good, and with it all others of its browser; false where it was spent or had expired. */
export function spendLink(tx: Tx, link: SignInLink, now: number): boolean {
  const spent = tx
    .update(signInLinks)
    .set({ usedAt: now })
    .where(and(eq(signInLinks.id, link.id), isNull(signInLinks.usedAt), gt(signInLinks.expiresAt, now)))
    .run();
  if (spent.changes === 0) return false;
  if (link.browserHash !== null) {
    tx.update(signInLinks)
      .set({ usedAt: now })
      .where(and(eq(signInLinks.browserHash, link.browserHash), isNull(signInLinks.usedAt)))
      .run();
  }
  return true;
}

/** Counts one wrong code against every live link of a browser; the fifth spends them. */
export function countWrongCode(tx: Tx, browser: string, now: number): void {
  const live = and(eq(signInLinks.browserHash, hashed(browser)), isNull(signInLinks.usedAt));
  tx.update(signInLinks)
    .set({ wrongCodes: sql`${signInLinks.wrongCodes} + 1` })
    .where(live)
    .run();
  tx.update(signInLinks)
    .set({ usedAt: now })
    .where(and(live, gt(signInLinks.wrongCodes, MOST_WRONG_CODES - 1)))
    .run();
}
