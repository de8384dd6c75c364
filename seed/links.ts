import { randomBytes } from 'node:crypto';
import { eq } from 'drizzle-orm';
import type { Db, Tx } from '../server/db/open.js';
import { signInLinks } from '../server/db/schema/index.js';
import type { Sealer } from '../server/db/seal.js';
import { makeLink } from '../server/people/link-store.js';
import { signInToken } from '../server/people/links.js';
import { COORDINATOR, LEADER, WALKER } from './names.js';

const DAY_MS = 24 * 60 * 60 * 1000;

/** Someone to be in the demo, with the address that signs them in. */
export interface DemoPerson {
  name: string;
  email: string;
  role: string;
  link: string;
}

export const DEMO_PEOPLE = [
  { name: COORDINATOR, email: 'coordinator@waymeet.example', role: 'coordinator' },
  { name: LEADER, email: 'leader@waymeet.example', role: 'leader in Lantern Hills' },
  { name: WALKER, email: 'walker@waymeet.example', role: 'walker' },
] as const;

/** A new sign-in link for each demo person: good once, in any browser, for a day. */
export function layLinks(db: Db, sealer: Sealer, now: number, baseUrl: string): DemoPerson[] {
  return db.write((tx) => linksIn(tx, sealer, now, baseUrl));
}

/** The same, inside a transaction that is open already. */
export function linksIn(tx: Tx, sealer: Sealer, now: number, baseUrl: string): DemoPerson[] {
  const services = { now: () => now, secret: () => randomBytes(32).toString('base64url'), sealer };
  return DEMO_PEOPLE.map((person) => {
    const { id } = makeLink(tx, services, { email: person.email, browser: null, next: null });
    tx.update(signInLinks)
      .set({ expiresAt: now + DAY_MS })
      .where(eq(signInLinks.id, id))
      .run();
    return { ...person, link: `${baseUrl}/sign-in/${signInToken(sealer, id)}` };
  });
}
