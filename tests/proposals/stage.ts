import { eq } from 'drizzle-orm';
import type { AssignmentSolver } from '../../server/coverage/solve.js';
import { asks, leaders, notices } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { openSite, type TestSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { type Cast, layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { solverHere } from '../support/solver.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

export const PAGE = '/coordinate/proposals';
const FAR = Date.UTC(2030, 0);
export const DAY_MS = 86_400_000;

/** What a leader types into the filled form. */
const { area: _area, date: _date, ...REST } = WALK_FIELDS;
export const TYPED = { ...REST, routeName: 'Asked loop', distance: '4' };

export let site: TestSite;
export let cast: Cast;
export let coordinator: Browser;

/** Two areas, each with a floor of two walks a month; three leaders of Lantern Hills who promised one each, two of whom lead one together in December. */
export async function open(solver: AssignmentSolver = solverHere): Promise<void> {
  site = await openSite({}, solver);
  cast = layCast(site);
  coordinator = cast.browser('coordinator');
  site.db.write((tx) => tx.update(leaders).set({ agreementDueAt: FAR }).run());
}

export const plain = (html: string) => html.replaceAll('&#x3D;', '=').replaceAll('&amp;', '&').replaceAll('&#x27;', "'");
export const shown = async (query = '?from=2026-12&months=1') => plain((await coordinator.get(PAGE + query)).text);
/** Without the token of the browser that was shown it. */
export const fieldsOf = (html: string) => {
  const { csrf: _, ...fields } = formFields(html) as Record<string, string>;
  return fields;
};
export const rowsOf = (fields: Record<string, string>) => Object.keys(fields).filter((name) => name.endsWith('[need]')).length;
export const stored = () => site.db.q.select().from(asks).all();
export const mails = () => site.db.q.select().from(notices).where(eq(notices.kind, 'ask')).all();

/** Sends what is proposed, just as the page has it; gives the private addresses of the mails, by leader. */
export async function sendAll(changed: Record<string, string> = {}, query = '?from=2026-12&months=1') {
  const answer = await coordinator.post(PAGE + query, { ...fieldsOf(await shown(query)), ...changed });
  const maker = mailMaker(site.services, site.views);
  const links = mails().map((row) => [row.toName, /http:\/\/[^/]+(\/asks\/[\w-]+)/.exec(maker.make(row).text)?.[1] ?? ''] as const);
  return { answer, links: new Map(links) };
}

/** The coordinator signs in once more, where the clock has gone past the session. */
export function signInAgain(): void {
  coordinator = cast.browser('coordinator');
}
