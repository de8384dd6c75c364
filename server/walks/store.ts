import { and, asc, desc, eq, gte, inArray, sql } from 'drizzle-orm';
import { addMonths, monthOf } from '../calc/month.js';
import { prepared, type Tx } from '../db/open.js';
import { areas, people, signUps, walkChanges, walkLeaders, walks } from '../db/schema/index.js';
import { changedFacts, movedWords, raisesSequence } from './edit.js';
import type { WalkFacts } from './facts.js';
import type { WalkRow } from './ledby.js';

/** The facts of a walk as its row has them. */
export function factsOf(row: WalkRow): WalkFacts {
  return {
    areaId: row.areaId,
    routeName: row.routeName,
    locality: row.locality,
    date: row.wallDate,
    gather: row.wallTime,
    setOff: row.wallSetOff,
    zone: row.zone,
    doubledOffset: row.doubledOffset,
    gatherAt: row.gatherAt,
    setOffAt: row.setOffAt,
    meetingPoint: row.meetingPoint,
    landmark: row.landmark,
    lat: row.lat,
    lon: row.lon,
    distanceMetres: row.distanceMetres,
    ascentMetres: row.ascentMetres,
    routeId: row.routeId,
    effortMetres: row.effortMetres,
    stops: row.stops,
    surfaces: row.surfaces,
    stepFree: row.stepFree,
    capacity: row.capacity,
    dogs: row.dogs,
    minors: row.minors,
    theme: row.theme,
    directions: row.directions,
    description: row.description,
    bring: row.bring,
    seenOn: row.seenOn,
    explained: row.explained,
  };
}

function columnsOf(facts: WalkFacts) {
  const { date, gather, setOff, ...same } = facts;
  return { ...same, wallDate: date, wallTime: gather, wallSetOff: setOff, month: monthOf(facts.setOffAt, facts.zone) };
}

/** Adds a walk and its first version; `leaderId` is responsible for it. Gives the walk's number. */
export function addWalk(
  tx: Tx,
  facts: WalkFacts,
  made: { state: 'draft' | 'posted'; uid: string; leaderId: number; now: number; seriesId?: number },
): number {
  const { state, uid, leaderId, now, seriesId = null } = made;
  const row = tx
    .insert(walks)
    .values({ ...columnsOf(facts), state, uid, createdAt: now, updatedAt: now, postedAt: state === 'posted' ? now : null, seriesId })
    .returning({ id: walks.id })
    .get();
  tx.insert(walkLeaders).values({ walkId: row.id, personId: leaderId, part: 'leader' }).run();
  tx.insert(walkChanges)
    .values({ walkId: row.id, version: 1, kind: state === 'posted' ? 'posted' : 'created', byPersonId: leaderId, facts, at: now })
    .run();
  return row.id;
}

type ChangeKind = 'posted' | 'edited' | 'cancelled' | 'zone' | 'handed over';

/** Writes a new version of a walk. The caller owes the notices in the same transaction. Gives the row as it stands now. */
export function changeWalk(
  tx: Tx,
  walk: WalkRow,
  facts: WalkFacts,
  change: { kind: ChangeKind; by: number | null; now: number; set?: Partial<WalkRow> },
): WalkRow {
  const before = factsOf(walk);
  const changed = changedFacts(before, facts);
  const version = walk.version + 1;
  const wasPublic = walk.state === 'posted';
  const timeMoved = wasPublic && before.gatherAt !== facts.gatherAt;
  const row = tx
    .update(walks)
    .set({
      ...columnsOf(facts),
      version,
      sequence: walk.sequence + (wasPublic && (raisesSequence(changed) || change.kind === 'cancelled') ? 1 : 0),
      moved: wasPublic ? movedWords(before, facts, walk.moved) : walk.moved,
      previousGatherAt: timeMoved ? (walk.previousGatherAt ?? before.gatherAt) : walk.previousGatherAt,
      updatedAt: change.now,
      ...change.set,
    })
    .where(eq(walks.id, walk.id))
    .returning()
    .get();
  tx.insert(walkChanges).values({ walkId: walk.id, version, kind: change.kind, byPersonId: change.by, facts, at: change.now }).run();
  return row;
}

const oneWalk = prepared((q) =>
  q
    .select()
    .from(walks)
    .where(eq(walks.id, sql.placeholder('id')))
    .prepare(),
);

export function walkById(q: Tx, id: number): WalkRow | undefined {
  return Number.isSafeInteger(id) ? oneWalk(q).get({ id }) : undefined;
}

/** A walk's facts as they stood at a version. */
export function factsAt(q: Tx, walkId: number, version: number): WalkFacts | undefined {
  return q
    .select({ facts: walkChanges.facts })
    .from(walkChanges)
    .where(and(eq(walkChanges.walkId, walkId), eq(walkChanges.version, version)))
    .get()?.facts;
}

/** Every version since `version`, oldest first, with who made it. */
export function changesSince(q: Tx, walkId: number, version: number) {
  return q
    .select({ version: walkChanges.version, kind: walkChanges.kind, at: walkChanges.at, by: people.name, facts: walkChanges.facts })
    .from(walkChanges)
    .leftJoin(people, eq(people.id, walkChanges.byPersonId))
    .where(and(eq(walkChanges.walkId, walkId), sql`${walkChanges.version} > ${version}`))
    .orderBy(asc(walkChanges.version))
    .all();
}

const leadersOfOne = prepared((q) =>
  q
    .select({ personId: people.id, name: people.name, email: people.email, phone: people.phone, part: walkLeaders.part })
    .from(walkLeaders)
    .innerJoin(people, eq(people.id, walkLeaders.personId))
    .where(eq(walkLeaders.walkId, sql.placeholder('walkId')))
    .orderBy(sql`${walkLeaders.part} = 'co-leader'`, people.name)
    .prepare(),
);

/** Who leads a walk: the leader first. */
export function leadersOf(q: Tx, walkId: number) {
  return leadersOfOne(q).all({ walkId });
}

/** Whether a person leads or shares a walk. */
export function leads(q: Tx, personId: number, walkId: number): boolean {
  const found = q
    .select({ part: walkLeaders.part })
    .from(walkLeaders)
    .where(and(eq(walkLeaders.walkId, walkId), eq(walkLeaders.personId, personId)))
    .get();
  return found !== undefined;
}

const placesByState = prepared((q) =>
  q
    .select({ state: signUps.state, people: sql<number>`sum(${signUps.partySize})` })
    .from(signUps)
    .where(eq(signUps.walkId, sql.placeholder('walkId')))
    .groupBy(signUps.state)
    .prepare(),
);

/** Places taken: party members confirmed, and waiting. */
export function placesTaken(q: Tx, walkId: number): { confirmed: number; waiting: number } {
  const rows = placesByState(q).all({ walkId });
  const of = (state: string) => rows.find((row) => row.state === state)?.people ?? 0;
  return { confirmed: of('confirmed'), waiting: of('waiting') };
}

/** Walks a person leads or shares, with who leads each, from some months back on, soonest first. */
export function walksLedBy(q: Tx, personId: number, month: string) {
  return q
    .select({
      walk: walks,
      part: walkLeaders.part,
      leader: sql<
        string | null
      >`(SELECT p.name FROM walk_leaders l JOIN people p ON p.id = l.person_id WHERE l.walk_id = walks.id AND l.part = 'leader')`,
      confirmed: sql<number>`coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = walks.id AND s.state = 'confirmed'), 0)`,
      waiting: sql<number>`coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = walks.id AND s.state = 'waiting'), 0)`,
    })
    .from(walks)
    .innerJoin(walkLeaders, and(eq(walkLeaders.walkId, walks.id), eq(walkLeaders.personId, personId)))
    .where(inArray(walks.id, ledSince(personId, addMonths(month, -MONTHS_BACK))))
    .orderBy(asc(walks.gatherAt))
    .all();
}

const MONTHS_BACK = 3;

/** CROSS JOIN keeps the order: from the months' walks to who leads them, so that the years behind cost nothing. */
function ledSince(personId: number, month: string) {
  return sql`(SELECT w.id FROM walks w CROSS JOIN walk_leaders l ON l.walk_id = w.id AND l.person_id = ${personId} WHERE w.month >= ${month})`;
}

/** Walks a person has made since an instant, newest first. */
export function lastAdded(q: Tx, personId: number, since: number): WalkRow[] {
  return q
    .select({ walk: walks })
    .from(walkLeaders)
    .innerJoin(walks, eq(walks.id, walkLeaders.walkId))
    .where(and(eq(walkLeaders.personId, personId), gte(walks.createdAt, since)))
    .orderBy(desc(walks.id))
    .limit(20)
    .all()
    .map((row) => row.walk);
}

const oneArea = prepared((q) =>
  q
    .select()
    .from(areas)
    .where(eq(areas.id, sql.placeholder('id')))
    .prepare(),
);

export function areaOf(q: Tx, areaId: number) {
  const area = oneArea(q).get({ id: areaId });
  if (!area) throw new Error(`area ${areaId} is missing`);
  return area;
}
