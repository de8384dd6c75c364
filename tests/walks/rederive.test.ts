import { eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { auditLog, notices, walkChanges, walks } from '../../server/db/schema/index.js';
import { addSignUp } from '../../server/signups/store.js';
import { rederiveComingWalks } from '../../server/walks/rederive.js';
import { factsOf } from '../../server/walks/store.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpForm } from '../support/sign-up.js';

const HOUR_MS = 60 * 60 * 1000;

/** A walk whose instants were worked out when the zone still kept another hour: as if the rule had changed since. */
async function walkUnderAnOldRule() {
  const site = await openSite();
  const { walkId } = layCast(site);
  const right = walkFacts();
  const old = { ...right, gatherAt: right.gatherAt - HOUR_MS, setOffAt: right.setOffAt - HOUR_MS };
  site.db.write((tx) => {
    tx.update(walks).set({ gatherAt: old.gatherAt, setOffAt: old.setOffAt }).where(eq(walks.id, walkId)).run();
    tx.update(walkChanges).set({ facts: old }).where(eq(walkChanges.walkId, walkId)).run();
  });
  addSignUp(site.services, walkId, signUpForm());
  const walk = () => site.db.q.select().from(walks).where(eq(walks.id, walkId)).get();
  return { site, walk, right };
}

it('a walk keeps its wall time when the rule of its zone changes; its instant is corrected, logged and noticed', async () => {
  const { site, walk, right } = await walkUnderAnOldRule();
  expect(rederiveComingWalks(site.services)).toBe(1);
  const row = walk();
  expect(row && factsOf(row)).toMatchObject({ gather: '08:45', setOff: '09:00', gatherAt: right.gatherAt, setOffAt: right.setOffAt });
  expect(row?.sequence).toBe(1);
  expect(site.db.q.select().from(auditLog).all()).toMatchObject([{}, {}, {}, { action: 'zone data moved a walk' }]);
  const owed = site.db.q.select().from(notices).where(eq(notices.kind, 'confirmation')).get();
  expect(owed && 'walk' in owed.content && owed.content.walk.facts.gatherAt).toBe(right.gatherAt);
  expect(site.log.splice(0)).toHaveLength(1);
});

it('changes nothing where nothing moved', async () => {
  const { site, walk } = await walkUnderAnOldRule();
  rederiveComingWalks(site.services);
  const before = walk();
  expect(rederiveComingWalks(site.services)).toBe(0);
  expect(walk()).toEqual(before);
  site.log.splice(0);
});
