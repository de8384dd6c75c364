import { and, eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { instants } from '../../server/calc/zone.js';
import { changePledge, excuse, takeBackExcuse } from '../../server/commitment/change-store.js';
import { walkLeaders } from '../../server/db/schema/index.js';
import { approveLeader, bringBack, standDown } from '../../server/leaders/store.js';
import { CHICAGO, type CommitmentStage, DAY, NEW_YORK, openCommitment, type Place } from './stage.js';

let stage: CommitmentStage;
let lena: number;
beforeEach(async () => {
  stage = await openCommitment();
  lena = stage.leader('Lena Marsh');
});

const at = (date: string, time: string, zone = NEW_YORK.zone) => instants(date, time, zone)[0] ?? 0;
const by = () => ({ by: stage.coordinator, now: stage.site.clock.now });

describe('the month of a walk', () => {
  it.each<[string, Place, string, string, string, string]>([
    ['the last half hour of October in New York', NEW_YORK, '2026-10-31', '23:15', '23:30', '2026-10'],
    ['the same in Chicago, when it is November in New York and in UTC', CHICAGO, '2026-10-31', '23:15', '23:30', '2026-10'],
    ['the first half hour of November in New York, when it is October in Chicago', NEW_YORK, '2026-11-01', '00:15', '00:30', '2026-11'],
    ['the night the clocks go back, before they do', NEW_YORK, '2026-11-01', '00:30', '00:45', '2026-11'],
    ['the night the clocks go back, after they did', CHICAGO, '2026-11-01', '02:30', '02:45', '2026-11'],
    ['the day the clocks go forward', NEW_YORK, '2027-03-14', '03:00', '03:30', '2027-03'],
    ['the last minute of the year', CHICAGO, '2026-12-31', '23:30', '23:59', '2026-12'],
    ['the last day of February', NEW_YORK, '2027-02-28', '23:15', '23:30', '2027-02'],
  ])("is its own zone's: %s", (_, place, date, gather, setOff, month) => {
    stage.walk(lena, date, { ...place, gather, setOff });
    stage.site.clock.now = Date.UTC(2027, 5, 1);
    for (const near of ['2026-09', '2026-10', '2026-11', '2026-12', '2027-01', '2027-02', '2027-03', '2027-04'])
      expect([near, stage.month(lena, near)]).toEqual([near, near === month ? 'kept 1+0' : 'short by 1 0+0']);
  });

  it('is that of the set-off, not of the gathering', () => {
    stage.walk(lena, '2026-10-31', { gather: '23:30', setOff: '23:45' });
    // A walk that gathers before midnight and sets off after it can't be typed: both times are of one date.
    expect(stage.month(lena, '2026-10')).toBe('kept 1+0');
  });
});

describe('what counts', () => {
  it('a walk counts as kept from the instant it sets off', () => {
    stage.walk(lena, '2026-12-05');
    stage.site.clock.now = at('2026-12-05', '09:00') - 1;
    expect(stage.month(lena, '2026-12')).toBe('on course 0+1');
    stage.site.clock.now += 1;
    expect(stage.month(lena, '2026-12')).toBe('kept 1+0');
  });

  it('for leader and co-leader alike', () => {
    const coe = stage.leader('Coe Lindgren');
    stage.walk(lena, '2026-12-05', {}, { coLeader: coe });
    expect([lena, coe].map((one) => stage.month(one, '2026-12'))).toEqual(['on course 0+1', 'on course 0+1']);
  });

  it('cancelled for safety it is kept, before the day and after; for another reason it is nothing', () => {
    const stormy = stage.walk(lena, '2026-12-05');
    stage.cancel(stormy, 'safety');
    expect(stage.month(lena, '2026-12')).toBe('kept 1+0');
    stage.cancel(stage.walk(lena, '2027-01-09'), 'other');
    expect(stage.month(lena, '2027-01')).toBe('short by 1 0+0');
  });

  it('a draft is nothing, even one cancelled for safety', () => {
    const draft = stage.walk(lena, '2026-12-05', {}, { state: 'draft' });
    expect(stage.month(lena, '2026-12')).toBe('short by 1 0+0');
    stage.cancel(draft, 'safety');
    expect(stage.month(lena, '2026-12')).toBe('short by 1 0+0');
  });

  it('handed over it counts for who leads it at set-off', () => {
    const otto = stage.leader('Otto Blume');
    const walk = stage.walk(lena, '2026-12-19');
    const part = and(eq(walkLeaders.walkId, walk), eq(walkLeaders.personId, lena));
    stage.site.db.write((tx) => tx.update(walkLeaders).set({ personId: otto }).where(part).run());
    stage.site.clock.now = at('2026-12-19', '09:00');
    expect([lena, otto].map((one) => stage.month(one, '2026-12'))).toEqual(['short by 1 0+0', 'kept 1+0']);
  });

  it('a leader who moves to another area keeps walks and promises', () => {
    stage.walk(lena, '2026-11-14');
    const row = { name: 'Lena Marsh', email: 'lena.marsh@waymeet.example', phone: '+12025550110', areaId: 2, pledge: 1, month: '2026-12' };
    stage.site.db.write((tx) => approveLeader(tx, row, stage.coordinator, stage.site.clock.now));
    expect(stage.month(lena, '2026-11')).toBe('kept 1+0');
    expect(stage.month(lena, '2026-10')).toBe('short by 1 0+0');
  });
});

describe('what is asked', () => {
  it('of an excused month nothing, unless it was kept all the same; taken back it is asked again', () => {
    const { db } = stage.site;
    db.write((tx) => excuse(tx, lena, { month: '2026-10', reason: 'Away' }, by()));
    expect(stage.month(lena, '2026-10')).toBe('excused 0+0');
    expect(stage.month(lena, '2026-09')).toBe('short by 1 0+0');
    db.write((tx) => takeBackExcuse(tx, lena, '2026-10', by()));
    expect(stage.month(lena, '2026-10')).toBe('short by 1 0+0');
    db.write((tx) => excuse(tx, lena, { month: '2026-11', reason: 'Ill' }, by()));
    stage.walk(lena, '2026-11-14');
    expect(stage.month(lena, '2026-11')).toBe('kept 1+0');
  });

  it('a pledge raised or lowered leaves the months before as they were', () => {
    const { db } = stage.site;
    const months = ['2026-10', '2026-11', '2026-12', '2027-02'];
    const words = () => months.map((month) => stage.month(lena, month).split(' ').slice(0, 3).join(' '));
    db.write((tx) => changePledge(tx, lena, { fromMonth: '2026-11', walks: 3 }, by()));
    expect(words()).toEqual(['short by 1', 'short by 3', 'short by 3', 'short by 3']);
    db.write((tx) => changePledge(tx, lena, { fromMonth: '2027-01', walks: 2 }, by()));
    expect(words()).toEqual(['short by 1', 'short by 3', 'short by 3', 'short by 2']);
    // From December on: what was promised for January gives way.
    db.write((tx) => changePledge(tx, lena, { fromMonth: '2026-12', walks: 4 }, by()));
    expect(words()).toEqual(['short by 1', 'short by 3', 'short by 4', 'short by 4']);
  });

  it('from the month in which a leader is stood down nothing, nor of the months until they come back', () => {
    const { db, clock } = stage.site;
    clock.now = at('2026-11-30', '23:59');
    db.write((tx) => standDown(tx, lena, stage.coordinator, clock.now));
    clock.now = at('2027-02-10', '12:00');
    const months = ['2026-10', '2026-11', '2026-12', '2027-02', '2027-03', '2027-04'];
    const words = () => months.map((month) => stage.month(lena, month).replace(/ \d\+\d$/, ''));
    expect(words()).toEqual(['short by 1', ...Array.from({ length: 5 }, () => 'stood down')]);
    db.write((tx) => bringBack(tx, lena, '2027-03', stage.coordinator, clock.now));
    expect(words()).toEqual(['short by 1', 'stood down', 'stood down', 'stood down', 'short by 1', 'short by 1']);
    // A month later in UTC, and still the same month where they lead.
    clock.now = Date.UTC(2027, 4, 1, 3);
    db.write((tx) => standDown(tx, lena, stage.coordinator, clock.now));
    expect(words().slice(-2)).toEqual(['short by 1', 'stood down']);
    expect(stage.month(lena, '2027-05')).toBe('stood down 0+0');
  });

  it('goes on as it was for one who comes back in the month they were stood down, and not in the next', async () => {
    const { db, clock } = stage.site;
    clock.now = at('2026-11-02', '12:00');
    const down = () => db.write((tx) => standDown(tx, lena, stage.coordinator, clock.now));
    const back = (month: string) => db.write((tx) => bringBack(tx, lena, month, stage.coordinator, clock.now));
    down();
    expect(stage.month(lena, '2026-11')).toBe('stood down 0+0');
    clock.now = at('2026-11-30', '23:59');
    back('2026-12');
    expect(['2026-10', '2026-11', '2026-12'].map((month) => stage.month(lena, month))).toEqual(Array(3).fill('short by 1 0+0'));
    expect(db.raw.prepare('SELECT from_month, until_month FROM leader_terms WHERE person_id = ?').all(lena)).toEqual([
      { from_month: '2026-01', until_month: null },
    ]);
    down();
    clock.now = at('2026-12-01', '00:00');
    back('2027-01');
    expect(['2026-10', '2026-11', '2026-12', '2027-01'].map((month) => stage.month(lena, month))).toEqual([
      'short by 1 0+0',
      'stood down 0+0',
      'stood down 0+0',
      'short by 1 0+0',
    ]);
  });

  it('of one who was stood down before they began, nothing; twice stood down or brought back is once', () => {
    const { db, clock } = stage.site;
    const nora = stage.leader('Nora Quist', { month: '2026-12' });
    for (const _ of [1, 2]) db.write((tx) => standDown(tx, nora, stage.coordinator, clock.now));
    expect(stage.month(nora, '2026-12')).toBe('stood down 0+0');
    for (const _ of [1, 2]) db.write((tx) => bringBack(tx, nora, '2026-12', stage.coordinator, clock.now + DAY));
    expect(stage.month(nora, '2026-12')).toBe('short by 1 0+0');
    expect(stage.month(nora, '2026-11')).toBe('no promise yet 0+0');
    expect(db.raw.prepare("SELECT count(*) FROM audit_log WHERE action = 'stood a leader down'").pluck().get()).toBe(1);
  });
});
