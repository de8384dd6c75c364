import { eq } from 'drizzle-orm';
import { partyMembers } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast, walkFacts } from '../support/cast.js';
import { contact, member, signUpForm } from '../support/sign-up.js';

export const HOUR_MS = 60 * 60_000;
export const DAY_MS = 24 * HOUR_MS;
/** When the cast's walk gathers. */
export const GATHER = walkFacts().gatherAt;

export interface Stage {
  site: TestSite;
  cast: Cast;
  /** "m1": Ana, who signed up; her contact is Rui Ferreira. */
  ana: string;
  path: (rest: string) => string;
}

/** The cast's walk an hour before it gathers, with Ana signed up. */
export async function stage(): Promise<Stage> {
  const site = await openSite();
  const cast = layCast(site);
  site.clock.now = GATHER - HOUR_MS;
  site.db.write((tx) =>
    keepSignUp(
      tx,
      site.services,
      cast.walkId,
      signUpForm({ members: [member({ name: 'Ana Ferreira', contact: { ...contact(), note: 'yellowfinch allergy' } })] }),
    ),
  );
  const id = site.db.q.select().from(partyMembers).where(eq(partyMembers.name, 'Ana Ferreira')).get()?.id ?? 0;
  return { site, cast, ana: `m${id}`, path: (rest) => `/lead/walks/${cast.walkId}/${rest}` };
}

/** What a leader types of somebody who turned up. */
export function turnedUpFields(changed: Record<string, string> = {}): Record<string, string> {
  return {
    key: 'key-of-teo-park',
    name: 'Teo Park',
    phone: '(202) 555-0161',
    contactName: 'Ida Park',
    contactRelation: 'mother',
    contactPhone: '(202) 555-0162',
    note: 'carries an inhaler',
    agreeRules: 'yes',
    way: 'screen',
    signature: 'Teo Park',
    agreeWaiver: 'yes',
    email: '',
    ...changed,
  };
}

/** What a leader writes down. */
export function incidentFields(changed: Record<string, string> = {}): Record<string, string> {
  return {
    postMark: 'a-mark-of-the-form',
    kind: 'heat',
    who: 'else',
    name: 'A runner passing by',
    where: 'finish',
    whereText: '',
    date: '2026-12-05',
    time: '07:30',
    what: 'Felt dizzy on the last climb and sat down.',
    done: 'Shade, water in sips.',
    called: 'no',
    seenBy: 'Lena',
    needsMore: 'yes',
    ...changed,
  };
}
