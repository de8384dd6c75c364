import { eq } from 'drizzle-orm';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { notices, walkChanges, walkOffers } from '../../server/db/schema/index.js';
import { approveLeader, standDown } from '../../server/leaders/store.js';
import { endOffersTo } from '../../server/together/ends.js';
import { answerOffer, makeOffer, withdrawOffer } from '../../server/together/offers.js';
import { makeLeader, removePartner, stepBack } from '../../server/together/parts.js';
import { partsOf } from '../../server/together/store.js';
import { cancelWalk, oweContext, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { closeStage, DAY } from '../notices/stage.js';
import { walkFacts } from '../support/cast.js';
import { openTroupe, type Troupe } from './troupe.js';

const WHO = ['lena', 'otto', 'coe', 'ida'] as const;
const who = fc.constantFrom(...WHO);
const kind = fc.constantFrom('co-leader' as const, 'hand-over' as const);
const nth = fc.nat({ max: 11 });

const step = fc.oneof(
  { weight: 6, arbitrary: fc.record({ do: fc.constant('ask' as const), to: who, by: who, kind, stays: fc.boolean() }) },
  { weight: 6, arbitrary: fc.record({ do: fc.constant('answer' as const), nth, accept: fc.boolean() }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('withdraw' as const), nth }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constantFrom('make leader' as const, 'remove' as const, 'step back' as const), to: who }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constantFrom('stand down' as const, 'approve' as const), to: who }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('sign up' as const) }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('pass' as const), days: fc.nat({ max: 4 }) }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('cancel' as const) }) },
);
type Step = typeof step extends fc.Arbitrary<infer T> ? T : never;

describe('whatever leaders do', { timeout: 120_000 }, () => {
  it('each walk has one leader, nothing is accepted after its end, and each hand-over is told once to each sign-up', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 30 }), fc.boolean(), async (steps, isDraft) => {
        const troupe = await openTroupe();
        const walkId = isDraft
          ? saveNewWalk(troupe.site.services, walkFacts({ routeName: 'Ridge' }), troupe.ids.lena, 'draft')
          : troupe.walkId;
        /** Sign-ups at each hand-over: "sign-up version". */
        const toTell: string[] = [];
        for (const one of steps) {
          const version = walkById(troupe.site.db.q, walkId)?.version ?? 0;
          const before = offersOf(troupe, walkId);
          const signedUp = isDraft ? [] : signUpsOf(troupe);
          take(troupe, walkId, one);
          holds(troupe, walkId, before);
          const handed = handOversSince(troupe, walkId, version);
          toTell.push(...handed.flatMap((at) => signedUp.map((id) => `new-leader:${id}:${at}`)));
        }
        const rows = troupe.site.db.q.select().from(notices).where(eq(notices.kind, 'new-leader')).all();
        expect(rows.map((row) => row.event).sort()).toEqual(toTell.sort());
        await closeStage(troupe);
      }),
      { numRuns: 40 },
    );
  });
});

const offersOf = (troupe: Troupe, walkId: number) =>
  troupe.site.db.q.select().from(walkOffers).where(eq(walkOffers.walkId, walkId)).orderBy(walkOffers.id).all();

const signUpsOf = (troupe: Troupe) =>
  troupe.site.db.raw.prepare("SELECT id FROM sign_ups WHERE state <> 'withdrawn'").pluck().all() as number[];

const handOversSince = (troupe: Troupe, walkId: number, version: number) =>
  troupe.site.db.q
    .select()
    .from(walkChanges)
    .where(eq(walkChanges.walkId, walkId))
    .all()
    .filter((row) => row.kind === 'handed over' && row.version > version)
    .map((row) => row.version);

function take(troupe: Troupe, walkId: number, one: Step): void {
  const { services, db, clock } = troupe.site;
  const walk = walkById(db.q, walkId);
  if (!walk) throw new Error('no walk');
  const self = (name: (typeof WHO)[number]) => ({ personId: troupe.ids[name], name });
  const numbered = (index: number) => offersOf(troupe, walkId)[index]?.id ?? 0;
  if (one.do === 'ask')
    makeOffer(services, walkId, troupe.ids[one.by], { kind: one.kind, toPersonId: troupe.ids[one.to], stays: one.stays, note: 'n' });
  if (one.do === 'answer') answerOffer(services, numbered(one.nth), { accept: one.accept, words: '' });
  if (one.do === 'withdraw') withdrawOffer(services, walk, numbered(one.nth));
  if (one.do === 'make leader') makeLeader(services, walkId, troupe.ids[one.to], { personId: troupe.ids.cora, name: 'Cora' });
  if (one.do === 'remove') removePartner(services, walk, troupe.ids[one.to], self('lena'));
  if (one.do === 'step back') stepBack(services, walk, self(one.to));
  if (one.do === 'stand down')
    db.write((tx) => {
      standDown(tx, troupe.ids[one.to], troupe.ids.cora, clock.now);
      endOffersTo(tx, oweContext(services), troupe.ids[one.to]);
    });
  if (one.do === 'approve')
    db.write((tx) =>
      approveLeader(
        tx,
        { name: one.to, email: EMAILS[one.to], phone: '+12025550100', areaId: 1, pledge: 1, month: '2026-12' },
        troupe.ids.cora,
        clock.now,
      ),
    );
  if (one.do === 'sign up' && walk.state === 'posted' && walk.gatherAt > clock.now)
    troupe.signUp(`w${signUpsOf(troupe).length}@walkers.example`);
  if (one.do === 'pass') troupe.pass(one.days * DAY);
  if (one.do === 'cancel') cancelWalk(services, walkId, troupe.ids.lena, { kind: 'other', reason: 'Ice' });
}

const EMAILS = {
  lena: 'leader@waymeet.example',
  otto: 'second@waymeet.example',
  coe: 'third@waymeet.example',
  ida: 'fourth@waymeet.example',
};

function holds(troupe: Troupe, walkId: number, before: ReturnType<typeof offersOf>): void {
  const { db, clock } = troupe.site;
  const walk = walkById(db.q, walkId);
  const parts = partsOf(db.q, walkId);
  expect(parts.filter((one) => one.part === 'leader')).toHaveLength(1);
  const offers = offersOf(troupe, walkId);
  const open = offers.filter((row) => row.state === 'open').map((row) => `${row.kind} ${row.toPersonId}`);
  expect(new Set(open).size).toBe(open.length);
  // Nobody is asked for what they have, and an offer of a walk that is off is over.
  expect(open).not.toContain(`hand-over ${parts[0]?.personId}`);
  if (walk?.state === 'cancelled') expect(open).toEqual([]);
  for (const row of offers) {
    const was = before.find((one) => one.id === row.id);
    // What has ended stays as it ended.
    if (was && was.state !== 'open') expect(row).toEqual(was);
    if (was?.state !== 'open' || row.state !== 'accepted') continue;
    expect([walk?.state === 'cancelled', (walk?.gatherAt ?? 0) > clock.now]).toEqual([false, true]);
    const taken = parts.find((one) => one.personId === row.toPersonId);
    expect(taken?.approved).toBe(true);
    if (row.kind === 'hand-over') expect(taken?.part).toBe('leader');
  }
}
