import { eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { auditLog, notices, walkChanges, walks } from '../../server/db/schema/index.js';
import { minutelyJobs } from '../../server/jobs.js';
import { keepSignUp } from '../../server/signups/store.js';
import { rederiveComingWalks } from '../../server/walks/rederive.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { factsOf } from '../../server/walks/store.js';
import { openSite, type TestSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpForm } from '../support/sign-up.js';

const HOUR_MS = 60 * 60 * 1000;

/** A walk whose instants were worked out when the zone still kept another hour: as if the rule had changed since. */
async function walkUnderAnOldRule() {
  const site = await openSite();
  const { walkId, ids } = layCast(site);
  const right = walkFacts();
  const old = { ...right, gatherAt: right.gatherAt - HOUR_MS, setOffAt: right.setOffAt - HOUR_MS };
  site.db.write((tx) => {
    tx.update(walks).set({ gatherAt: old.gatherAt, setOffAt: old.setOffAt }).where(eq(walks.id, walkId)).run();
    tx.update(walkChanges).set({ facts: old }).where(eq(walkChanges.walkId, walkId)).run();
  });
  site.services.db.write((tx) => keepSignUp(tx, site.services, walkId, signUpForm()));
  const walk = () => site.db.q.select().from(walks).where(eq(walks.id, walkId)).get();
  return { site, walk, right, leaderId: ids.leader };
}

it('a walk keeps its wall time when the rule of its zone changes; its instant is corrected, logged and noticed', async () => {
  const { site, walk, right } = await walkUnderAnOldRule();
  expect(rederiveComingWalks(site.services)).toBe(1);
  const row = walk();
  expect(row && factsOf(row)).toMatchObject({ gather: '08:45', setOff: '09:00', gatherAt: right.gatherAt, setOffAt: right.setOffAt });
  expect(row?.sequence).toBe(1);
  expect(site.db.q.select().from(auditLog).all().at(-1)).toMatchObject({ action: 'zone data moved a walk' });
  const owed = site.db.q.select().from(notices).where(eq(notices.kind, 'confirmation')).get();
  expect(owed && 'walk' in owed.content && owed.content.walk.facts.gatherAt).toBe(right.gatherAt);
  expect(site.log.splice(0)).toHaveLength(1);
});

it('a walk that can not be worked out is logged, and the others keep their wall time all the same', async () => {
  const { site, walk, right, leaderId } = await walkUnderAnOldRule();
  layBrokenWalk(site, leaderId);
  expect(rederiveComingWalks(site.services)).toBe(1);
  expect(walk()?.gatherAt).toBe(right.gatherAt);
  expect(site.log.splice(0).map((line) => JSON.parse(line).msg)).toEqual([
    'the instants of a walk could not be worked out anew',
    'zone data changed: these walks kept their wall time',
  ]);
});

/** Another walk of the same day, with one sign-up, in a zone that this machine's zone data have never heard of. */
function layBrokenWalk(site: TestSite, leaderId: number): void {
  const id = saveNewWalk(site.services, walkFacts({ routeName: 'Nowhere loop' }), leaderId, 'posted');
  site.services.db.write((tx) => keepSignUp(tx, site.services, id, signUpForm({ email: 'bo@walkers.example', name: 'Bo' })));
  site.db.write((tx) => tx.update(walks).set({ zone: 'Nowhere/None' }).where(eq(walks.id, id)).run());
}

it('the timed jobs remind the walkers of every other walk, and work the instants out once a day', async () => {
  const { site, leaderId, right } = await walkUnderAnOldRule();
  layBrokenWalk(site, leaderId);
  const minutely = minutelyJobs(site.services);
  const run = (at: number) => {
    site.clock.now = at;
    minutely();
    return site.log.splice(0).map((line) => JSON.parse(line).msg);
  };
  expect(run(right.gatherAt - 25 * HOUR_MS)).toEqual([
    'the instants of a walk could not be worked out anew',
    'zone data changed: these walks kept their wall time',
  ]);
  expect(run(right.gatherAt - 24 * HOUR_MS)).toEqual(['the reminders of a walk could not be made']);
  const reminded = site.db.q.select({ to: notices.toEmail }).from(notices).where(eq(notices.kind, 'reminder')).all();
  expect(reminded).toEqual([{ to: 'ana@walkers.example' }]);
});

it('changes nothing where nothing moved', async () => {
  const { site, walk } = await walkUnderAnOldRule();
  rederiveComingWalks(site.services);
  const before = walk();
  expect(rederiveComingWalks(site.services)).toBe(0);
  expect(walk()).toEqual(before);
  site.log.splice(0);
});
