import { asc, eq } from 'drizzle-orm';
import { applications, leaders, notices } from '../../server/db/schema/index.js';
import { lastAgreement } from '../../server/joining/agreement-store.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast } from '../support/cast.js';

export const MINUTE = 60_000;
export const DAY = 24 * 60 * MINUTE;

/** What the walker of the cast applies with. */
export const APPLY = {
  name: 'Wendel Ames',
  phone: '(202) 555-0147',
  area: 'lantern-hills',
  why: 'I walk every week.\nI would like to give something back.',
  days: ['6', '7'],
  longest: '12.5',
  otherAreas: 'east-fork',
};

export interface Joining {
  site: TestSite;
  cast: Cast;
  /** Sends the walker's application; gives its number. */
  apply: (changed?: Partial<Record<keyof typeof APPLY, string | string[]>>) => Promise<number>;
  /** Signs the agreement as the visitor, in the name given. */
  sign: (visitor: 'walker' | 'leader', name: string, changed?: Record<string, string>) => Promise<number>;
  /** Mail owed, oldest first: kind, to whom, and the subject that its content has. */
  owed: () => string[];
  dueAt: (visitor: 'leader' | 'walker') => number | undefined;
  application: (id: number) => typeof applications.$inferSelect;
}

/** The service with its cast, and what a test of joining asks for often. */
export async function openJoining(set: Partial<Record<string, string>> = {}): Promise<Joining> {
  const site = await openSite(set);
  const cast = layCast(site);
  const { q } = site.db;
  return {
    site,
    cast,
    apply: async (changed = {}) => {
      await cast.browser('walker').post('/lead/join/apply', { ...APPLY, ...changed });
      return q.select({ id: applications.id }).from(applications).orderBy(asc(applications.id)).all().at(-1)?.id ?? 0;
    },
    sign: async (visitor, name, changed = {}) => {
      const { status } = await cast
        .browser(visitor)
        .post('/lead/join/agreement', { signature: name, agree: 'yes', version: '1', ...changed });
      return status;
    },
    owed: () =>
      q
        .select()
        .from(notices)
        .orderBy(asc(notices.id))
        .all()
        .map(({ kind, toEmail, content }) => `${kind} ${toEmail}: ${'joining' in content ? content.joining.subject : ''}`),
    dueAt: (visitor) => q.select({ at: leaders.agreementDueAt }).from(leaders).where(eq(leaders.personId, cast.ids[visitor])).get()?.at,
    application: (id) => {
      const row = q.select().from(applications).where(eq(applications.id, id)).get();
      if (!row) throw new Error(`no application ${id}`);
      return row;
    },
  };
}

/** When an address last signed the agreement, ms. */
export function signedAt(site: TestSite, email: string): number | undefined {
  return lastAgreement(site.db.q, email)?.signedAt;
}
