import { describe, expect, it } from 'vitest';
import type { AssignInput, AssignLeader, Gap } from '../../server/calc/assign.js';
import { type AskedAlready, checkPicks, type Pick, readPicks } from '../../server/proposals/picks.js';

const SATURDAY = '2027-04-10';
const GAP: Gap = { id: 'need', areaId: 1, lat: 0, lon: 0, dates: [SATURDAY], metres: 16_000, weight: 1 };
const BETTE: AssignLeader = {
  id: 1,
  homeAreaId: 1,
  areaIds: [],
  lat: 0,
  lon: 0,
  days: [1, 2, 3, 4, 5, 6, 7],
  shortestMetres: null,
  longestMetres: 16_000,
  months: { '2027-04': { pledged: 1, left: 1 } },
  ledThisSeason: 0,
  pledgedThisSeason: 0,
  busyDates: [],
};
const NAMES = new Map([[1, 'Bette']]);
const PICK: Pick = { row: 0, need: 'need', leaderId: 1, date: SATURDAY };

function check(picks: Pick[], leader: Partial<AssignLeader> = {}, gaps = [GAP], asked: AskedAlready = new Map(), note = '') {
  const input: AssignInput = {
    gaps,
    leaders: [{ ...BETTE, ...leader }],
    rules: { overPledge: 1, oneAWeekend: true, farthestMetres: null },
  };
  return checkPicks({ picks, note }, input, { names: NAMES, asked });
}

const fault = (...args: Parameters<typeof check>) => {
  const found = check(...args);
  return 'faults' in found ? Object.values(found.faults)[0] : found;
};

describe('a ticked row', () => {
  it('is sent', () => {
    expect(check([PICK])).toEqual({ send: [{ need: 'need', leaderId: 1, date: SATURDAY }] });
  });

  it('is sent though it is beyond the pledge, or a second that weekend: the coordinator knows', () => {
    expect(check([PICK], { months: { '2027-04': { pledged: 1, left: -3 } } })).toHaveProperty('send');
    expect(check([PICK], { busyDates: ['2027-04-11'] })).toHaveProperty('send');
  });

  it.each<[string, Partial<AssignLeader>, string]>([
    ['leads another walk that day', { busyDates: [SATURDAY] }, 'leads another walk that day'],
    ['is excused', { months: {} }, 'is excused'],
    ['goes elsewhere', { homeAreaId: 2 }, 'does not go to this area'],
    ['leads no walks so long', { longestMetres: 15_999 }, 'leads no walks of this length'],
    ['leads on Sundays', { days: [7] }, 'does not lead on this day'],
    ['said not this time', { notFor: ['need'] }, 'said not this time'],
    ['said so, and has kept the pledge, too', { notFor: ['need'], months: { '2027-04': { pledged: 1, left: -1 } } }, 'said not this time'],
  ])('is refused for someone who %s', (_, leader, sentence) => {
    expect(fault([PICK], leader)).toContain(`Bette ${sentence}`);
  });

  it('is refused where nobody such leads', () => {
    expect(fault([{ ...PICK, leaderId: 9 }])).toBe('Choose a leader.');
    expect(fault([{ ...PICK, leaderId: Number.NaN }])).toBe('Choose a leader.');
  });

  it('is refused where the walk is missing no more, or someone else was asked meanwhile', () => {
    expect(fault([PICK], {}, [])).toContain('not missing any more');
    expect(fault([PICK], {}, [], new Map([['need', [{ toPersonId: 2, name: 'Tom' }]]]))).toContain('Tom was asked');
  });

  it('is nothing to do where the same leader was asked already', () => {
    expect(check([PICK], {}, [], new Map([['need', [{ toPersonId: 1, name: 'Bette' }]]]))).toEqual({ send: [] });
  });

  it('asks once for a need that comes twice', () => {
    expect(check([PICK, PICK])).toEqual({ send: [{ need: 'need', leaderId: 1, date: SATURDAY }] });
  });

  it('takes the day that was shown, or else the first that is free', () => {
    const gap = { ...GAP, dates: ['2027-04-05', '2027-04-06', '2027-04-07'] };
    const other = { ...gap, id: 'other' };
    const on = (found: ReturnType<typeof check>) => ('send' in found ? found.send.map(({ date }) => date) : found.faults);
    expect(on(check([{ ...PICK, date: '2027-04-06' }], {}, [gap]))).toEqual(['2027-04-06']);
    expect(on(check([PICK], {}, [gap]))).toEqual(['2027-04-05']);
    expect(on(check([PICK, { ...PICK, row: 1, need: 'other' }], {}, [gap, other]))).toEqual(['2027-04-05', '2027-04-06']);
  });

  it('is refused on a day for which the same form asks them already', () => {
    const found = check([PICK, { ...PICK, row: 1, need: 'other' }], {}, [GAP, { ...GAP, id: 'other' }]);
    expect('faults' in found && found.faults).toEqual({
      'rows[1][leader]': 'Bette is asked for another walk that day. Choose another leader.',
    });
  });
});

describe('a form', () => {
  it('with nothing ticked, or with too many words, says so', () => {
    expect(check([])).toEqual({ faults: { rows: 'Tick at least one walk.' } });
    expect(check([PICK], {}, [GAP], new Map(), 'x'.repeat(500))).toHaveProperty('send');
    expect(check([PICK], {}, [GAP], new Map(), 'x'.repeat(501))).toHaveProperty('faults.note');
  });

  it('is read by its ticked rows', () => {
    const rows = [{ need: 'a', leader: '4', date: SATURDAY }, { need: 'b', leader: '5', date: SATURDAY, ask: 'yes' }, 'nonsense'];
    expect(readPicks({ rows, note: ' Please ' })).toEqual({ picks: [{ row: 1, need: 'b', leaderId: 5, date: SATURDAY }], note: 'Please' });
    expect(readPicks({ rows: 'nonsense' })).toEqual({ picks: [], note: '' });
  });
});
