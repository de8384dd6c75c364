import { eq } from 'drizzle-orm';
import { turnedUp, walks } from '../../server/db/schema/index.js';
import type { SignUpForm } from '../../server/signups/form.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { Stop } from '../../server/walks/stops.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast } from '../support/cast.js';
import { member, signUpForm } from '../support/sign-up.js';

/** The cast's walk sets off: 9:00 EST. */
export const SET_OFF = Date.UTC(2026, 11, 5, 14);
/** When its leader closes it, in the tests. */
export const AFTERNOON = SET_OFF + 5 * 60 * 60 * 1000;

const STOPS: Stop[] = [
  { kinds: ['water'], name: 'Lower lock', metres: 4000, effortMetres: null, minutes: 5, short: { rejoins: 13_197, length: 6000 } },
];

/** The cast's walk, with Ana (m1) and Ben (m2) of one party, and Cleo (m3), and the clock on its afternoon. @param another one more sign-up, from m4 on */
export async function walkOut(another?: SignUpForm): Promise<{ site: TestSite; cast: Cast; path: string }> {
  const site = await openSite();
  const cast = layCast(site);
  site.db.write((tx) => {
    tx.update(walks).set({ stops: STOPS }).where(eq(walks.id, cast.walkId)).run();
    const party = [member({ name: 'Ana Ferreira' }), member({ name: 'Ben Birch' })];
    keepSignUp(tx, site.services, cast.walkId, signUpForm({ members: party }));
    keepSignUp(tx, site.services, cast.walkId, signUpForm({ name: 'Cleo Dane', email: 'cleo@walkers.example' }));
    if (another) keepSignUp(tx, site.services, cast.walkId, another);
  });
  site.clock.now = AFTERNOON;
  return { site, cast, path: `/lead/walks/${cast.walkId}/close` };
}

/** The closing form's fields for some people: who, how it ended, and what goes with it. */
export function endingFields(...people: [who: string, ended: string, more?: Record<string, string>][]): Record<string, string> {
  const fields: Record<string, string> = { form: 'abcdefghijklmnopqrstuvwx' };
  for (const [index, [who, ended, more = {}]] of people.entries())
    for (const [name, value] of Object.entries({ who, ended, ...more })) fields[`people[${index}][${name}]`] = value;
  return fields;
}

/** Rows of a query, for what has no page. */
export function rowsOf(site: TestSite, query: string): unknown[] {
  return site.db.raw.prepare(query).all();
}

/** Someone turned up, as the roll has them. @param guardian of a minor: who answers for them */
export function turnUp(site: TestSite, walkId: number, name: string, guardian = ''): void {
  const row = { walkId, key: 'turnedup1', name, guardian, minor: guardian !== '', addedAt: site.clock.now };
  site.db.write((tx) => tx.insert(turnedUp).values(row).run());
}
