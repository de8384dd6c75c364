import { eq, sql } from 'drizzle-orm';
import { readConfig } from '../server/config.js';
import type { Tx } from '../server/db/open.js';
import { notices, signUps } from '../server/db/schema/index.js';
import type { Sealer } from '../server/db/seal.js';
import { standDown } from '../server/leaders/store.js';
import type { GroupSettings } from '../server/settings/rules.js';
import { handOver } from '../server/together/hand-over.js';
import { oweOffer } from '../server/together/owe.js';
import { addOffer, candidates, offerById } from '../server/together/store.js';
import { walkById } from '../server/walks/store.js';
import { LANTERN_HILLS, MILLBROOK, PORT_AVERY } from './areas.js';
import { COORDINATOR_ID, LEADER_ID } from './leaders.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;
const NOTE = 'There will be many on this one. Would you walk at the back?';

interface Ground {
  sealer: Sealer;
  settings: GroupSettings;
  now: number;
  baseUrl: string;
}

/** What leaders share in the demo: its leader is asked to share a walk, one walk was handed over, and one needs a leader. */
export function layTogether(tx: Tx, { sealer, settings, now, baseUrl }: Ground): void {
  const config = readConfig({ BASE_URL: baseUrl });
  const context = (hoursAgo: number) => ({ now: now - hoursAgo * HOUR_MS, settings, config });
  askLeader(tx, sealer, context(3));
  handOn(tx, context(5));
  standSomeoneDown(tx, now);
  // No mail server is there: what this owed is kept to be read.
  tx.update(notices)
    .set({ state: 'kept', endedAt: sql`${notices.createdAt}` })
    .where(eq(notices.state, 'pending'))
    .run();
}

type Context = Parameters<typeof oweOffer>[1];

function askLeader(tx: Tx, sealer: Sealer, context: Context): void {
  const { walk, leader } = comingWalk(
    tx,
    LANTERN_HILLS.id,
    context.now,
    sql`NOT EXISTS (
    SELECT 1 FROM walk_leaders o JOIN walks v ON v.id = o.walk_id WHERE o.person_id = ${LEADER_ID} AND v.wall_date = w.wall_date)`,
  );
  const offer = { walkId: walk.id, kind: 'co-leader', toPersonId: LEADER_ID, byPersonId: leader, stays: false, note: NOTE } as const;
  const added = addOffer(tx, sealer, offer, context.now);
  const made = added && offerById(tx, added.id);
  if (made) oweOffer(tx, context, walk, made);
}

function handOn(tx: Tx, context: Context): void {
  const { walk, leader } = comingWalk(tx, MILLBROOK.id, context.now);
  const free = candidates(tx, walk, context.now).find((one) => one.part === null && one.busy === 0);
  if (!free) return;
  // Who led it shares it, and so keeps the month's promise.
  handOver(tx, context, walk, { to: free.personId, by: free.personId, arranged: leader, stays: true });
  tx.update(signUps)
    .set({ toldVersion: walk.version + 1 })
    .where(eq(signUps.walkId, walk.id))
    .run();
}

function standSomeoneDown(tx: Tx, now: number): void {
  const { leader } = comingWalk(tx, PORT_AVERY.id, now);
  standDown(tx, leader, COORDINATOR_ID, now);
}

/** The first posted walk of an area that gathers in two days or later, and what else is asked of it. */
function comingWalk(tx: Tx, areaId: number, now: number, also = sql`1`) {
  const [found] = tx.all<{ id: number; leader: number }>(sql`
    SELECT w.id, l.person_id AS leader FROM walks w JOIN walk_leaders l ON l.walk_id = w.id AND l.part = 'leader'
    WHERE w.state = 'posted' AND w.area_id = ${areaId} AND w.gather_at > ${now + 2 * DAY_MS}
      AND l.person_id NOT IN (${LEADER_ID}, ${COORDINATOR_ID}) AND ${also}
    ORDER BY w.gather_at LIMIT 1`);
  const walk = found && walkById(tx, found.id);
  if (!walk) throw new Error(`no walk to come in area ${areaId}`);
  return { walk, leader: found.leader };
}
