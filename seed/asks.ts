import { eq, sql } from 'drizzle-orm';
import { candidatesOf } from '../server/calc/assign-model.js';
import { monthsFrom } from '../server/calc/month.js';
import { wallOf } from '../server/calc/zone.js';
import { readConfig } from '../server/config.js';
import type { Tx } from '../server/db/open.js';
import { asks, notices } from '../server/db/schema/index.js';
import type { Sealer } from '../server/db/seal.js';
import { endAsk } from '../server/proposals/asks-store.js';
import type { Sendable } from '../server/proposals/picks.js';
import { seasonFor } from '../server/proposals/season.js';
import { sendAsks } from '../server/proposals/send.js';
import type { GroupSettings } from '../server/settings/rules.js';
import { AREAS, LANTERN_HILLS, QUARRY_LAKES } from './areas.js';
import { COORDINATOR_ID, LEADER_ID } from './leaders.js';
import { COORDINATOR } from './names.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const MONTHS = 6;
const NOTE = 'Walks here are few in spring. Even one of them would help.';

interface Ground {
  sealer: Sealer;
  settings: GroupSettings;
  now: number;
  baseUrl: string;
}

/** What the coordinator asked two days ago: the demo's leader, who has yet to answer, and another, who said not this time. */
export function layAsks(tx: Tx, { sealer, settings, now, baseUrl }: Ground): void {
  const at = now - 2 * DAY_MS;
  const today = wallOf(at, AREAS[0]?.zone ?? 'UTC').date;
  const filter = { months: monthsFrom(today.slice(0, 7), MONTHS), area: '', isUsual: true, faults: {} };
  const season = seasonFor(tx, { settings: () => settings, now: () => at }, filter, today);
  const possible = candidatesOf(season.input);
  const first = (is: (one: (typeof possible)[number]) => boolean): Sendable[] =>
    possible
      .filter(is)
      .slice(0, 1)
      .map(({ leader, gap, dates }) => ({ need: String(gap.id), leaderId: leader.id, date: dates[0] ?? '' }));
  const send = [
    ...first(({ leader, gap }) => leader.id === LEADER_ID && gap.areaId === LANTERN_HILLS.id),
    ...first(({ leader, gap }) => leader.id !== LEADER_ID && gap.areaId === QUARRY_LAKES.id),
  ];
  const by = { id: COORDINATOR_ID, name: COORDINATOR };
  sendAsks(tx, { now: at, settings, config: readConfig({ BASE_URL: baseUrl }), sealer }, season, { send, by, note: NOTE });
  for (const { id } of tx.select().from(asks).where(eq(asks.areaId, QUARRY_LAKES.id)).all()) endAsk(tx, id, 'not this time', now - DAY_MS);
  // No mail server is there: what this owed is kept to be read.
  tx.update(notices)
    .set({ state: 'kept', endedAt: sql`${notices.createdAt}` })
    .where(eq(notices.state, 'pending'))
    .run();
}
