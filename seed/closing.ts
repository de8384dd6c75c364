import { attended } from '../server/day/attendance.js';
import { CLOSING_DEVICE, type Ended, endings, saidOf } from '../server/day/closing-rules.js';
import { addHazards } from '../server/day/hazards-store.js';
import type { Db, Tx } from '../server/db/open.js';
import type { Chance } from './chance.js';
import type { LaidWalk } from './rows.js';

const DAY_MS = 24 * 60 * 60 * 1000;
/** Rolls of walks closed since then are kept, as far back as they can be put right. */
const ROLLS_KEPT_MS = 14 * DAY_MS;

/** How the walks that are over ended for each on their roll: most walked it all, some took a short way, left early or did not come. */
export function layAttendance(db: Db, walks: readonly LaidWalk[], { now, chance }: { now: number; chance: Chance }): void {
  const closed = new Map(walks.filter((walk) => walk.state === 'closed').map((walk) => [walk.id, walk]));
  const members = db.raw
    .prepare<[], { id: number; walkId: number }>(
      `SELECT m.id, s.walk_id AS walkId FROM sign_ups s JOIN party_members m ON m.sign_up_id = s.id
       WHERE s.state = 'confirmed' AND m.removed_at IS NULL ORDER BY m.id`,
    )
    .all();
  const walked = db.raw.prepare('INSERT INTO attendance (walk_id, member_id, outcome, stop, metres) VALUES (?, ?, ?, ?, ?)');
  const said =
    db.raw.prepare(`INSERT INTO roll_entries (walk_id, entry, who, said, after, device, device_at, sent_at, received_at, by_person_id)
    VALUES (@walkId, @entry, @who, @said, '[]', @device, @at, @at, @at, @by)`);
  for (const { id, walkId } of members) {
    const walk = closed.get(walkId);
    if (!walk || walk.closedAt === null) continue;
    const { who, ended, metres } = attended(`m${id}`, anEnding(walk, chance), walk.facts);
    walked.run(walkId, id, ended.how, 'stop' in ended ? ended.stop : 0, metres);
    if (walk.closedAt < now - ROLLS_KEPT_MS) continue;
    const entry = { walkId, who, entry: `demo-roll-entry-${id}`, device: CLOSING_DEVICE, at: walk.closedAt, by: walk.leaderId };
    said.run({ ...entry, said: JSON.stringify(saidOf(ended, { told: 'leader', home: 'driven' })) });
  }
}

function anEnding({ facts }: LaidWalk, chance: Chance): Ended {
  const drawn = chance.next();
  if (drawn < 0.86) return { how: 'full' };
  if (drawn < 0.92) return { how: 'absent' };
  const ways = endings(facts).filter((one) => one.how === (drawn < 0.96 ? 'short' : 'left') && 'stop' in one && one.stop > 0);
  return ways.length === 0 ? { how: 'full' } : chance.pick(ways);
}

/** What whoever last led a walk on a route found in the way: shown to whoever leads there next. */
export function layHazard(tx: Tx, walks: readonly LaidWalk[], next: LaidWalk | undefined): void {
  const before = walks.filter(({ state, facts }) => state === 'closed' && facts.routeName === next?.facts.routeName).at(-1);
  if (!before || before.closedAt === null) return;
  const { id, facts, leaderId, closedAt } = before;
  const met = { key: 'demo-hazard', place: 'the footbridge below the last lamp', what: 'Handrail broken, one at a time', untilDate: '' };
  addHazards(tx, { ...facts, id }, [met], { by: leaderId, now: closedAt });
}
