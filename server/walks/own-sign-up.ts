import { and, eq, ne } from 'drizzle-orm';
import { signUps } from '../db/schema/index.js';
import type { Services } from '../services.js';
import { signUpLink } from '../signups/link.js';

/** The private page of the sign-up that stands for this walk with a visitor's own address, which they proved when they signed in; null where there is none. */
export function ownSignUp(services: Services, walkId: number, email: string | undefined): { href: string; isWaiting: boolean } | null {
  if (email === undefined) return null;
  const found = services.db.q
    .select({ id: signUps.id, state: signUps.state })
    .from(signUps)
    .where(and(eq(signUps.walkId, walkId), eq(signUps.email, email), ne(signUps.state, 'withdrawn')))
    .get();
  return found ? { href: signUpLink(services.sealer, '', found.id), isWaiting: found.state === 'waiting' } : null;
}
