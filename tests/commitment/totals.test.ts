import fc from 'fast-check';
import { expect, it } from 'vitest';
import { addMonths, monthsFrom } from '../../server/calc/month.js';
import { changePledge } from '../../server/commitment/change-store.js';
import { totals } from '../../server/commitment/grid.js';
import { leaderMonths } from '../../server/commitment/store.js';
import { CHICAGO, NEW_YORK, openCommitment } from './stage.js';

const MONTHS = monthsFrom('2026-09', 6);
const NOW = Date.UTC(2026, 11, 15, 12);

const WALK = fc.record({
  leader: fc.integer({ min: 0, max: 3 }),
  coLeader: fc.option(fc.integer({ min: 0, max: 3 })),
  place: fc.constantFrom(NEW_YORK, CHICAGO),
  month: fc.constantFrom(...MONTHS),
  day: fc.constantFrom('01', '15', '28'),
  time: fc.constantFrom('00:30', '09:00', '23:30'),
  fate: fc.constantFrom('posted', 'draft', 'closed', 'safety', 'other', 'draft safety'),
});

it('totals by leader are totals by walk, whatever becomes of the walks', async () => {
  const stage = await openCommitment();
  const { db } = stage.site;
  const leaders = ['Ana', 'Bo', 'Cy', 'Di'].map((name, index) => stage.leader(name, { area: index % 2 === 0 ? NEW_YORK : CHICAGO }));
  let day = 0;
  fc.assert(
    fc.property(fc.array(WALK, { maxLength: 12 }), (planned) => {
      const counted: string[] = [];
      for (const one of planned) {
        // A name of its own: the same walk sent twice is one.
        day += 1;
        const [leader = 0, coLeader] = [leaders[one.leader], one.coLeader === null ? undefined : leaders[one.coLeader]];
        const shared = coLeader === leader ? undefined : coLeader;
        const facts = { ...one.place, gather: one.time, setOff: one.time, routeName: `Loop ${day}` };
        const id = stage.walk(leader, `${one.month}-${one.day}`, facts, {
          state: one.fate.startsWith('draft') ? 'draft' : 'posted',
          ...(shared === undefined ? {} : { coLeader: shared }),
        });
        if (one.fate === 'closed') db.raw.prepare("UPDATE walks SET state = 'closed', closed_at = ? WHERE id = ?").run(NOW, id);
        if (one.fate.endsWith('safety')) stage.cancel(id, 'safety');
        if (one.fate === 'other') stage.cancel(id, 'other');
        if (['posted', 'closed', 'safety'].includes(one.fate)) counted.push(one.month, ...(shared === undefined ? [] : [one.month]));
      }
      const byWalk = MONTHS.map((month) => counted.filter((one) => one === month).length);
      const everyone = leaderMonths(db.q, MONTHS, NOW);
      const byLeader = MONTHS.map((_, index) =>
        everyone.reduce((sum, leader) => sum + (leader.months[index]?.kept ?? 0) + (leader.months[index]?.coming ?? 0), 0),
      );
      expect(byLeader).toEqual(byWalk);
      expect(
        totals(everyone, MONTHS)
          .at(-1)
          ?.months.map((one) => one.walks),
      ).toEqual(byWalk);
      // One leader alone is counted another way round, from their own walks.
      for (const leader of everyone) expect(leaderMonths(db.q, MONTHS, NOW, leader.personId)).toEqual([leader]);
      db.raw.exec('DELETE FROM walk_changes; DELETE FROM walk_leaders; DELETE FROM walks;');
    }),
    { numRuns: 40 },
  );
});

it('changing a pledge from a month on leaves every month before it as it was', async () => {
  const stage = await openCommitment();
  const { db, clock } = stage.site;
  const lena = stage.leader('Lena Marsh');
  stage.walk(lena, '2026-10-10');
  stage.walk(lena, '2026-12-05');
  const months = monthsFrom('2026-06', 18);
  const states = () => leaderMonths(db.q, months, NOW, lena)[0]?.months ?? [];
  const change = fc.record({ ahead: fc.integer({ min: 0, max: 17 }), walks: fc.integer({ min: 1, max: 31 }) });
  fc.assert(
    fc.property(fc.array(change, { minLength: 1, maxLength: 8 }), (changes) => {
      for (const { ahead, walks } of changes) {
        const before = states();
        db.write((tx) =>
          changePledge(tx, lena, { fromMonth: addMonths('2026-06', ahead), walks }, { by: stage.coordinator, now: clock.now }),
        );
        const after = states();
        expect(after.slice(0, ahead)).toEqual(before.slice(0, ahead));
        expect(after.slice(ahead).map((one) => one.pledge)).toEqual(after.slice(ahead).map(() => walks));
      }
    }),
    { numRuns: 40 },
  );
});
