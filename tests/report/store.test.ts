import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { monthsFrom } from '../../server/calc/month.js';
import { NOTHING } from '../../server/report/figures.js';
import { readReport } from '../../server/report/store.js';
import { CHICAGO, NEW_YORK, openReport, type ReportStage } from './stage.js';

const NOW = Date.UTC(2026, 11, 15, 12);
const MONTHS = monthsFrom('2026-11', 3);

/** A cell as plain data, leaders by their numbers. */
function cellOf({ site }: ReportStage, area: string, month: string, now = NOW) {
  const report = readReport(site.db.q, MONTHS, now);
  const figures = report.areas.find((one) => one.area.name === area)?.months[MONTHS.indexOf(month)];
  return figures && { ...figures, leaders: [...figures.leaders] };
}

describe('the report counts', () => {
  it('a walk led, its length, its people, their miles, and who led it', async () => {
    const stage = await openReport();
    const [lena, coe] = [stage.leader('Lena Marsh'), stage.leader('Coe Lindgren')];
    const walk = stage.walk(lena, '2026-12-05', { distanceMetres: 10_000 }, { coLeader: coe });
    stage.book(walk, { email: 'ana@walkers.example', adults: 2, minors: 1, removed: 1 });
    stage.book(walk, { email: 'ben@walkers.example' });
    stage.book(walk, { email: 'waiting@walkers.example', state: 'waiting' });
    stage.book(walk, { email: 'gone@walkers.example', state: 'withdrawn' });
    expect(cellOf(stage, 'Lantern Hills', '2026-12')).toEqual({
      ...{ led: 1, safety: 0, other: 0, metres: 10_000 },
      ...{ people: 4, parties: 2, minors: 1, personMetres: 40_000, firstTimers: 2, leaders: [lena, coe] },
    });
  });

  it('of a walk that was closed, who came and how far, also without having signed up; an address that stayed away is new the next time', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    const walk = stage.walk(lena, '2026-12-05', { distanceMetres: 10_000 });
    stage.book(walk, { email: 'ana@walkers.example', adults: 2, minors: 1 });
    stage.book(walk, { email: 'ben@walkers.example' });
    stage.settle(walk, [10_000, null, 4000, null], [7000]);
    expect(cellOf(stage, 'Lantern Hills', '2026-12')).toMatchObject({
      people: 3,
      parties: 2,
      minors: 1,
      personMetres: 21_000,
      firstTimers: 1,
    });
    const next = stage.walk(lena, '2027-01-09', { distanceMetres: 5000 });
    stage.book(next, { email: 'ana@walkers.example' });
    stage.book(next, { email: 'ben@walkers.example' });
    expect(cellOf(stage, 'Lantern Hills', '2027-01', Date.UTC(2027, 1, 1))).toMatchObject({
      people: 2,
      personMetres: 10_000,
      firstTimers: 1,
    });
  });

  it('walks of one month whose people were settled, and walks whose were not, together', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    const settled = stage.walk(lena, '2026-12-05', { distanceMetres: 10_000 });
    stage.book(settled, { email: 'ana@walkers.example', adults: 2, minors: 1 });
    stage.settle(settled, [10_000, null, 4000]);
    const open = stage.walk(lena, '2026-12-06', { distanceMetres: 5000, routeName: 'Other loop' });
    stage.book(open, { email: 'ben@walkers.example', adults: 1, minors: 1 });
    expect(cellOf(stage, 'Lantern Hills', '2026-12')).toMatchObject({ led: 2, people: 4, parties: 2, minors: 2, personMetres: 24_000 });
  });

  it('a walk from the instant it sets off, closed or not; what is to come, and drafts, for nothing', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    const walk = stage.walk(lena, '2026-12-05', { gather: '08:45', setOff: '09:00' });
    stage.book(walk, { email: 'ana@walkers.example' });
    stage.walk(lena, '2026-12-06', {}, { state: 'draft' });
    const setOff = Date.UTC(2026, 11, 5, 14);
    const nothing = { ...NOTHING, leaders: [] };
    expect(cellOf(stage, 'Lantern Hills', '2026-12', setOff - 1)).toEqual(nothing);
    expect(cellOf(stage, 'Lantern Hills', '2026-12', setOff)).toMatchObject({ led: 1, people: 1, firstTimers: 1 });
    stage.close(walk);
    expect(cellOf(stage, 'Lantern Hills', '2026-12', setOff)).toMatchObject({ led: 1, people: 1, firstTimers: 1 });
  });

  it('cancelled walks by why, and nobody on them; one cancelled as a draft is none', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    for (const kind of ['safety', 'other', 'other'] as const) {
      const walk = stage.walk(lena, '2026-12-05', { routeName: `Loop ${kind} ${Math.random()}` });
      stage.book(walk, { email: 'ana@walkers.example' });
      stage.cancel(walk, kind);
    }
    stage.cancel(stage.walk(lena, '2026-12-05', { routeName: 'Draft' }, { state: 'draft' }), 'safety');
    expect(cellOf(stage, 'Lantern Hills', '2026-12')).toEqual({ ...NOTHING, safety: 1, other: 2, leaders: [] });
  });

  it('an address once, on the first walk led that it was on, in whatever area and however long ago', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    const ana = { email: 'ana@walkers.example' };
    // Signed up for the later walk first, and for one that was called off before both.
    const later = stage.walk(lena, '2026-12-12', CHICAGO);
    stage.book(later, ana);
    const first = stage.walk(lena, '2026-12-05');
    stage.book(first, ana);
    const off = stage.walk(lena, '2026-11-28');
    stage.book(off, ana);
    stage.cancel(off, 'other');
    expect(cellOf(stage, 'Lantern Hills', '2026-12')?.firstTimers).toBe(1);
    expect(cellOf(stage, 'East Fork', '2026-12')?.firstTimers).toBe(0);
    expect(cellOf(stage, 'Lantern Hills', '2026-11')?.firstTimers).toBe(0);
    stage.book(stage.walk(lena, '2025-12-05'), ana);
    expect(cellOf(stage, 'Lantern Hills', '2026-12')?.firstTimers).toBe(0);
    stage.book(first, { email: 'erased:77' });
    expect(cellOf(stage, 'Lantern Hills', '2026-12')).toMatchObject({ people: 2, firstTimers: 0 });
  });

  it('a walk in the month of its set-off, by the clock of its own place', async () => {
    const stage = await openReport();
    const lena = stage.leader('Lena Marsh');
    // The same instant: half past midnight on the first in New York, half past eleven the evening before in Chicago.
    stage.walk(lena, '2026-12-01', { ...NEW_YORK, gather: '00:30', setOff: '00:30' });
    stage.walk(lena, '2026-11-30', { ...CHICAGO, gather: '23:30', setOff: '23:30' });
    // The last minute of the month.
    stage.walk(lena, '2026-11-30', { ...NEW_YORK, gather: '23:59', setOff: '23:59', routeName: 'Late loop' });
    const led = (area: string, month: string) => cellOf(stage, area, month)?.led;
    expect([led('Lantern Hills', '2026-11'), led('Lantern Hills', '2026-12')]).toEqual([1, 1]);
    expect([led('East Fork', '2026-11'), led('East Fork', '2026-12')]).toEqual([1, 0]);
  });
});

it('has no figures for the months before an area was there, by its own clock, unless something happened in them', async () => {
  const stage = await openReport();
  const { raw } = stage.site.db;
  const lena = stage.leader('Lena Marsh');
  // The last instant of December in Chicago, and the first of January.
  const january = Date.UTC(2027, 0, 1, 6);
  raw.prepare("UPDATE areas SET created_at = ? WHERE slug = 'east-fork'").run(january - 1);
  expect(cellOf(stage, 'East Fork', '2026-11')).toBeNull();
  expect(cellOf(stage, 'East Fork', '2026-12')).toEqual({ ...NOTHING, leaders: [] });
  raw.prepare("UPDATE areas SET created_at = ? WHERE slug = 'east-fork'").run(january);
  expect(cellOf(stage, 'East Fork', '2026-12')).toBeNull();
  stage.walk(lena, '2026-12-05', CHICAGO);
  expect(cellOf(stage, 'East Fork', '2026-12')?.led).toBe(1);
});

const WALK = fc.record({
  place: fc.constantFrom(NEW_YORK, CHICAGO),
  date: fc.constantFrom('2026-10-31', '2026-11-01', '2026-11-30', '2026-12-01', '2026-12-31', '2027-01-01', '2027-01-31', '2027-02-01'),
  time: fc.constantFrom('00:00', '09:00', '23:59'),
  metres: fc.integer({ min: 1, max: 40_000 }),
  leader: fc.integer({ min: 0, max: 2 }),
  fate: fc.constantFrom('posted', 'draft', 'closed', 'settled', 'safety', 'other'),
  parties: fc.uniqueArray(
    fc.record({
      email: fc.constantFrom('a@walkers.example', 'b@walkers.example', 'c@walkers.example'),
      adults: fc.integer({ min: 1, max: 3 }),
      minors: fc.integer({ min: 0, max: 2 }),
      state: fc.constantFrom('confirmed', 'waiting'),
    }),
    { selector: ({ email }) => email, maxLength: 3 },
  ),
});

/** Of each party member in their order: whoever has a place walks all of it. */
function walkedBy(parties: { adults: number; minors: number; state: string }[], metres: number): (number | null)[] {
  return parties.flatMap(({ adults, minors, state }) => Array<number | null>(adults + minors).fill(state === 'confirmed' ? metres : null));
}

it('comes to the same by rows, by columns, and walk by walk', async () => {
  const stage = await openReport();
  const { db } = stage.site;
  const leaders = ['Ana', 'Bo', 'Cy'].map((name) => stage.leader(name));
  let number = 0;
  fc.assert(
    fc.property(fc.array(WALK, { maxLength: 8 }), fc.constantFrom(NOW, Date.UTC(2027, 2, 1)), (planned, now) => {
      for (const table of ['attendance', 'notices', 'party_members', 'sign_ups', 'walk_changes', 'walk_leaders', 'walks'])
        db.raw.exec(`DELETE FROM ${table}`);
      const led = new Set<number>();
      const sum = { walks: 0, metres: 0, people: 0, personMetres: 0, minors: 0, off: 0 };
      const firsts = new Map<string, { at: number; id: number; isIn: boolean }>();
      for (const { place, date, time, metres, leader, fate, parties } of planned) {
        number += 1;
        const facts = { ...place, gather: time, setOff: time, distanceMetres: metres, routeName: `Loop ${number}` };
        const id = stage.walk(leaders[leader] ?? 0, date, facts, { state: fate === 'draft' ? 'draft' : 'posted' });
        for (const party of parties) stage.book(id, party);
        if (fate === 'closed') stage.close(id);
        if (fate === 'settled') stage.settle(id, walkedBy(parties, metres));
        if (fate === 'safety' || fate === 'other') stage.cancel(id, fate);
        const isIn = date >= '2026-11' && date < '2027-02';
        if (isIn && (fate === 'safety' || fate === 'other')) sum.off += 1;
        const { at } = db.raw.prepare('SELECT set_off_at AS at FROM walks WHERE id = ?').get(id) as { at: number };
        if (fate !== 'closed' && fate !== 'settled' && (fate !== 'posted' || at > now)) continue;
        for (const { email, state } of parties) {
          const known = firsts.get(email);
          if (state === 'confirmed' && (!known || at < known.at || (at === known.at && id < known.id))) firsts.set(email, { at, id, isIn });
        }
        if (!isIn) continue;
        led.add(leader);
        sum.walks += 1;
        sum.metres += metres;
        for (const { adults, minors, state } of parties) {
          if (state !== 'confirmed') continue;
          sum.people += adults + minors;
          sum.minors += minors;
          sum.personMetres += metres * (adults + minors);
        }
      }
      const { areas, byMonth, total } = readReport(db.q, MONTHS, now);
      expect({
        ...{ walks: total.led, metres: total.metres, people: total.people, personMetres: total.personMetres },
        ...{ minors: total.minors, off: total.safety + total.other },
      }).toEqual(sum);
      expect(total.leaders.size).toBe(led.size);
      expect(total.firstTimers).toBe([...firsts.values()].filter(({ isIn }) => isIn).length);
      for (const key of ['led', 'safety', 'other', 'metres', 'people', 'parties', 'minors', 'personMetres', 'firstTimers'] as const) {
        const rows = areas.reduce((all, area) => all + area.total[key], 0);
        const columns = byMonth.reduce((all, month) => all + month[key], 0);
        const cells = areas.flatMap(({ months }) => months).reduce((all, cell) => all + (cell?.[key] ?? 0), 0);
        expect([key, rows, columns, cells]).toEqual([key, total[key], total[key], total[key]]);
      }
    }),
    { numRuns: 25 },
  );
});
