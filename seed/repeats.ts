import { addDays } from '../server/calc/month.js';
import type { Tx } from '../server/db/open.js';
import { seriesFor } from '../server/repeats/store.js';
import { atWall } from '../server/repeats/wall.js';
import type { StandingNote } from '../server/standing/rules.js';
import { addNote } from '../server/standing/store.js';
import { addWalk } from '../server/walks/store.js';
import { LEADER_ID } from './leaders.js';
import type { LaidWalk } from './rows.js';

const NOTES: Omit<StandingNote, 'id'>[] = [
  {
    title: 'Parking at Lantern Park',
    body: 'Park behind the playing field; the gate is locked at dusk.\nDo not park in the lane: the bus needs it.',
    goesInto: 'directions',
  },
  { title: 'What I always ask for', body: 'Water, a snack, and a layer more than you think.', goesInto: 'bring' },
];
/** From a Saturday to the two Thursdays after it, when the leader has nothing else. */
const DAYS_LATER = [5, 12];

/** What the demo's leader keeps to save typing: two standing notes, and a series of one walk with two drafts. */
export function layRepeats(tx: Tx, walk: LaidWalk | undefined, { now, host }: { now: number; host: string }): void {
  for (const note of NOTES) addNote(tx, LEADER_ID, note, now);
  if (!walk) throw new Error('the leader has no walk to repeat');
  const seriesId = seriesFor(tx, { id: walk.id, seriesId: null }, LEADER_ID, now);
  for (const days of DAYS_LATER) {
    const date = addDays(walk.facts.date, days);
    const on = atWall({ ...walk.facts, seenOn: '', explained: {} }, { ...walk.facts, date }, null);
    if ('facts' in on) addWalk(tx, on.facts, { state: 'draft', uid: `series-${days}@${host}`, leaderId: LEADER_ID, now, seriesId });
  }
}
