import { and, asc, eq } from 'drizzle-orm';
import { addDays } from '../server/calc/month.js';
import { wallOf } from '../server/calc/zone.js';
import type { Tx } from '../server/db/open.js';
import { partyMembers, signUps } from '../server/db/schema/index.js';
import type { Sealer } from '../server/db/seal.js';
import { closeIncident } from '../server/incidents/holds.js';
import type { IncidentRecord } from '../server/incidents/record.js';
import { addIncident, addNote, followUp, incidentById } from '../server/incidents/store.js';
import { COORDINATOR_ID } from './leaders.js';
import type { LaidWalk } from './rows.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;

interface Ground {
  sealer: Sealer;
  now: number;
  /** YYYY-MM-DD */
  today: string;
}

/** One incident that is being followed up, on the latest of some walks that are over, and one on the walk before it that is closed. */
export function layIncidents(tx: Tx, ground: Ground, over: LaidWalk[]): void {
  const [latest, before] = [over.at(-1), over.at(-2)];
  if (latest) layOpen(tx, ground, latest);
  if (before) layClosed(tx, ground, before);
}

function layOpen(tx: Tx, ground: Ground, walk: LaidWalk): void {
  const id = lay(tx, ground, walk, {
    kind: 'hurt',
    where: walk.facts.stops.length > 0 ? 'stop 1' : 'start',
    whereText: 'On the steps down to the water',
    what: 'Slipped on wet leaves and turned the left ankle. It swelled within minutes; could stand, but not walk.',
    done: 'Rest, a cold cloth, the leg up. The back marker stayed while a friend fetched a car. Taken home, with word to see a doctor.',
    called: false,
    seenBy: 'the back marker',
    needsMore: true,
  });
  const made = { by: COORDINATOR_ID, now: Math.min(ground.now, walk.facts.setOffAt + DAY_MS) };
  addNote(
    tx,
    ground.sealer,
    id,
    'Rang them in the evening: a sprain, six weeks of rest. They ask whether the steps can be left out.',
    made,
  );
  followUp(tx, id, { dueOn: addDays(ground.today, 2), assignedTo: COORDINATOR_ID }, made);
}

function layClosed(tx: Tx, ground: Ground, walk: LaidWalk): void {
  const id = lay(tx, ground, walk, {
    kind: 'lost',
    where: '',
    whereText: 'Between the last stop and the finish',
    what: 'Missed the turn at the gate and was not at the finish with the others. Came in half an hour later, well.',
    done: 'The group waited; the co-leader walked back to the gate.',
    called: false,
    seenBy: '',
    needsMore: false,
  });
  const found = incidentById(tx, id);
  const at = Math.min(ground.now, walk.facts.setOffAt + 3 * DAY_MS);
  if (found) closeIncident(tx, found.incident, 'changed', { by: COORDINATOR_ID, now: at });
}

function lay(tx: Tx, { sealer, now }: Ground, walk: LaidWalk, told: Omit<IncidentRecord, 'name' | 'date' | 'time'>): number {
  const one = tx
    .select({ id: partyMembers.id, name: partyMembers.name })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(and(eq(signUps.walkId, walk.id), eq(signUps.state, 'confirmed'), eq(partyMembers.minor, false)))
    .orderBy(asc(partyMembers.id))
    .get();
  const { date, time } = wallOf(walk.facts.setOffAt + HOUR_MS, walk.facts.zone);
  const record = { ...told, name: one?.name ?? '', date, time };
  const at = Math.min(now, walk.facts.setOffAt + 4 * HOUR_MS);
  const writing = { walkId: walk.id, postMark: `demo-${walk.id}`, by: walk.leaderId, now: at, dueOn: date };
  const id = addIncident(tx, sealer, { who: one ? `m${one.id}` : '', record }, writing);
  if (id === undefined) throw new Error('an incident was not laid');
  return id;
}
