import { and, eq, lte, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { walkChanges } from '../db/schema/index.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import { factsAt } from '../walks/store.js';
import type { SignUpRow, ToldWalk } from './compose.js';
import type { Difference } from './content.js';
import { differences } from './difference.js';
import { type Plan, planNotices } from './net.js';
import type { SignUpState } from './sign-up-state.js';

/** A walk as it stands, or as it would stand after an edit. */
export type Standing = Pick<ToldWalk, 'walk' | 'facts' | 'versions' | 'differences'>;

/** What is to be done with a sign-up's open notices, the walk standing as it does. */
export function planOf(tx: Tx, { walk }: Standing, { signUp, rows }: SignUpState): Plan {
  return planNotices({
    over: signUp.state === 'withdrawn' || walk.state !== 'posted',
    version: walk.version,
    toldVersion: signUp.toldVersion,
    signedUpVersion: signUp.toldVersion ?? signedUpVersion(tx, signUp),
    notices: rows,
  });
}

/** What the walk was when the walker read its page and signed up. */
function signedUpVersion(tx: Tx, signUp: SignUpRow): number {
  const row = tx
    .select({ version: sql<number | null>`max(version)` })
    .from(walkChanges)
    .where(and(eq(walkChanges.walkId, signUp.walkId), lte(walkChanges.at, signUp.createdAt)))
    .get();
  return row?.version ?? 1;
}

/** Whether a change notice that still waits was to tell what need not be told. */
export function wasOffered(plan: Plan, rows: SignUpState['rows']): boolean {
  return rows.some((row) => plan.changes.includes(row.id) && 'walk' in row.content && row.content.walk.offered === true);
}

/** The facts of the versions that a sign-up was told of, or may have been; newest first. */
export function toldFacts(tx: Tx, standing: Standing, plan: Plan): WalkFacts[] {
  return plan.bases.map((version) => factsOfVersion(tx, standing, version));
}

/** What a change notice has to say to a sign-up; empty where there is nothing to tell. Worked out once for all who were told the same. */
export function netDifferences(tx: Tx, standing: Standing, plan: Plan, offered: boolean, settings: GroupSettings): Difference[] {
  const key = `${plan.bases.join()} ${offered}`;
  const names = offered ? 'all' : 'always';
  const found =
    standing.differences.get(key) ??
    union(toldFacts(tx, standing, plan).map((facts) => differences(facts, standing.facts, names, settings)));
  standing.differences.set(key, found);
  return found;
}

/** One row a thing: against the newest version the walker may know of, and what only an older one shows. */
function union(lists: Difference[][]): Difference[] {
  const rows = new Map<string, Difference>();
  for (const row of lists.flat()) if (!rows.has(row.label)) rows.set(row.label, row);
  return [...rows.values()];
}

/** Read once for all sign-ups that start from it. */
function factsOfVersion(tx: Tx, { walk, facts, versions }: Standing, version: number): WalkFacts {
  if (version === walk.version) return facts;
  const found = versions.get(version) ?? factsAt(tx, walk.id, version);
  if (!found) throw new Error(`version ${version} of walk ${walk.id} is missing`);
  versions.set(version, found);
  return found;
}
