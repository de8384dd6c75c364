import { eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaderAreas, leaders } from '../db/schema/index.js';
import type { AboutForm } from './form.js';

export type About = typeof leaders.$inferSelect & { otherAreas: number[] };

/** What a leader says of themself as one; undefined for someone who never was one. Two queries. */
export function aboutLeader(q: Tx, personId: number): About | undefined {
  const row = q.select().from(leaders).where(eq(leaders.personId, personId)).get();
  if (!row) return undefined;
  const others = q.select({ areaId: leaderAreas.areaId }).from(leaderAreas).where(eq(leaderAreas.personId, personId)).all();
  return { ...row, otherAreas: others.map((one) => one.areaId) };
}

/** Keeps some or all of what a leader says of themself. */
export function saveAbout(tx: Tx, personId: number, { otherAreas, ...set }: Partial<AboutForm> & Pick<AboutForm, 'otherAreas'>): void {
  tx.update(leaders).set(set).where(eq(leaders.personId, personId)).run();
  tx.delete(leaderAreas).where(eq(leaderAreas.personId, personId)).run();
  if (otherAreas.length > 0)
    tx.insert(leaderAreas)
      .values(otherAreas.map((areaId) => ({ personId, areaId })))
      .run();
}
