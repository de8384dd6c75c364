import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Db } from '../../server/db/open.js';
import { people, walkLeaders } from '../../server/db/schema/index.js';
import { measure } from '../../server/gpx/measure.js';
import { addRoute, forgetUnused, gpxOf, mayUse, routeById } from '../../server/gpx/store.js';
import { approveLeader } from '../../server/leaders/store.js';
import { addWalk } from '../../server/walks/store.js';
import { freshDatabase, NOON } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { roundGpx } from '../support/gpx-file.js';
import { gpx, readable, track } from './files.js';

const ROUND = measure(readable(roundGpx().toString()));
const SHORT = measure(
  readable(
    gpx(
      track([
        [41, -85],
        [41.01, -85],
      ]),
    ),
  ),
);
const WEEK_MS = 7 * 24 * 60 * 60 * 1000;

let db: Db;
let lena: number;
let otto: number;
beforeEach(() => {
  db = freshDatabase();
  const leader = (name: string) =>
    db.write((tx) => {
      const coordinator = tx
        .insert(people)
        .values({ name: 'Cora', email: `of-${name}@waymeet.example`, createdAt: NOON })
        .returning()
        .get().id;
      const made = { name, email: `${name}@waymeet.example`, phone: '+12025550110', areaId: 1, pledge: 1, month: '2026-11' };
      return approveLeader(tx, made, coordinator, NOON);
    });
  lena = leader('Lena');
  otto = leader('Otto');
});
afterEach(() => db.close());

const add = (route = ROUND, by = lena, now = NOON) => db.write((tx) => addRoute(tx, route, { by, now }));
const walk = (routeId: number, state: 'draft' | 'posted', leaderId = lena) =>
  db.write((tx) =>
    addWalk(tx, walkFacts({ routeId }), { state, uid: `${state}-${leaderId}-${routeId}@waymeet.example`, leaderId, now: NOON }),
  );

describe('kept routes', () => {
  it('come back as they were measured, their file apart', () => {
    const id = add();
    const { gpx: file, ...rest } = ROUND;
    expect(routeById(db.q, id)).toEqual({ ...rest, id, byPersonId: lena, createdAt: NOON });
    expect(gpxOf(db.q, id)).toEqual(Buffer.from(file));
    expect(routeById(db.q, id + 1)).toBeUndefined();
    expect(routeById(db.q, Number.NaN)).toBeUndefined();
    expect(gpxOf(db.q, id + 1)).toBeUndefined();
  });

  it('take a way without heights', () => {
    expect(routeById(db.q, add(SHORT))).toMatchObject({ ascentMetres: null, descentMetres: null, profile: null });
  });

  it('are one where the same person brings the same way again', () => {
    const id = add();
    expect(add(ROUND, lena, NOON + 1)).toBe(id);
    expect(routeById(db.q, id)?.createdAt).toBe(NOON + 1);
    expect(add(ROUND, otto)).not.toBe(id);
    expect(add(SHORT)).not.toBe(id);
  });

  it('may be used by who brought them, by everyone once public, and by who leads the walk', () => {
    const id = add();
    expect([mayUse(db.q, id, lena), mayUse(db.q, id, otto), mayUse(db.q, id + 1, lena)]).toEqual([true, false, false]);
    const draft = walk(id, 'draft');
    expect(mayUse(db.q, id, otto)).toBe(false);
    db.write((tx) => tx.insert(walkLeaders).values({ walkId: draft, personId: otto, part: 'co-leader' }).run());
    expect(mayUse(db.q, id, otto)).toBe(true);

    const other = add(SHORT);
    expect(mayUse(db.q, other, otto)).toBe(false);
    walk(other, 'posted');
    expect(mayUse(db.q, other, otto)).toBe(true);
  });

  it('are forgotten after more than a week on no walk', () => {
    const [used, unused] = [add(), add(SHORT)];
    walk(used, 'draft');
    const forget = (now: number) => db.write((tx) => forgetUnused(tx, now));
    expect(forget(NOON + WEEK_MS)).toBe(0);
    expect(forget(NOON + WEEK_MS + 1)).toBe(1);
    expect(routeById(db.q, unused)).toBeUndefined();
    expect(routeById(db.q, used)).toBeDefined();
  });

  it('are found by index, never by reading all of a table', () => {
    const asked: string[] = [];
    const prepare = db.raw.prepare.bind(db.raw);
    db.raw.prepare = ((text: string) => {
      asked.push(text);
      return prepare(text);
    }) as typeof db.raw.prepare;
    mayUse(db.q, 1, 1);
    db.write((tx) => forgetUnused(tx, NOON));
    const plans = asked.map(
      (text) => prepare(`EXPLAIN QUERY PLAN ${text}`).all(...Array(text.split('?').length - 1).fill(1)) as { detail: string }[],
    );
    expect(
      plans
        .flat()
        .map((step) => step.detail)
        .filter((detail) => detail.startsWith('SCAN') && !detail.includes('CONSTANT')),
    ).toEqual([]);
    expect(asked).toHaveLength(2);
  });
});
