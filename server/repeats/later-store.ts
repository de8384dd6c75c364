import { and, asc, eq, gt, inArray, isNull, ne, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { partyMembers, signUps, walkLeaders, walks } from '../db/schema/index.js';
import { isMinorOn } from '../signups/minors.js';
import type { WalkRow } from '../walks/ledby.js';

/** Who edits. */
export interface Editor {
  id: number;
  coordinator: boolean;
}

/** The walks of a series after one of its walks that are still to come, soonest first, and whether the editor may change each. */
export function laterWalks(q: Tx, walk: WalkRow, editor: Editor, now: number): { walk: WalkRow; mine: boolean }[] {
  if (walk.seriesId === null) return [];
  const led = sql<number>`EXISTS (SELECT 1 FROM ${walkLeaders} l WHERE l.walk_id = ${walks.id} AND l.person_id = ${editor.id})`;
  return q
    .select({ walk: walks, led })
    .from(walks)
    .where(
      and(
        eq(walks.seriesId, walk.seriesId),
        gt(walks.gatherAt, Math.max(now, walk.gatherAt)),
        inArray(walks.state, ['draft', 'posted']),
        ne(walks.id, walk.id),
      ),
    )
    .orderBy(asc(walks.gatherAt), asc(walks.id))
    .all()
    .map((row) => ({ walk: row.walk, mine: editor.coordinator || row.led === 1 }));
}

export interface SignedUp {
  walkId: number;
  name: string;
  email: string;
  state: 'confirmed' | 'waiting' | 'withdrawn';
  partySize: number;
}

/** Everyone confirmed or waiting on some walks, in the order they came. */
export function signedUpOn(q: Tx, walkIds: number[]): SignedUp[] {
  return q
    .select({ walkId: signUps.walkId, name: signUps.name, email: signUps.email, state: signUps.state, partySize: signUps.partySize })
    .from(signUps)
    .where(and(inArray(signUps.walkId, walkIds), inArray(signUps.state, ['confirmed', 'waiting'])))
    .orderBy(asc(signUps.id))
    .all();
}

/** How many under-18s, as of each walk's own date, are signed up, by walk. */
export function minorsOnEach(q: Tx, walksOf: Pick<WalkRow, 'id' | 'wallDate'>[]): Map<number, number> {
  const dates = new Map(walksOf.map((walk) => [walk.id, walk.wallDate]));
  const rows = q
    .select({ walkId: signUps.walkId, minor: partyMembers.minor, adultOn: partyMembers.adultOn })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .where(
      and(
        inArray(signUps.walkId, [...dates.keys()]),
        ne(signUps.state, 'withdrawn'),
        isNull(partyMembers.removedAt),
        eq(partyMembers.minor, true),
      ),
    )
    .all();
  const counts = new Map<number, number>();
  for (const row of rows) if (isMinorOn(row, dates.get(row.walkId) ?? '')) counts.set(row.walkId, (counts.get(row.walkId) ?? 0) + 1);
  return counts;
}
