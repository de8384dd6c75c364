import { describe, expect, it } from 'vitest';
import type { AssignInput } from '../../server/calc/assign.js';
import { candidatesOf, type Pair } from '../../server/calc/assign-model.js';
import { explain } from '../../server/calc/assign-reasons.js';
import { gap, input, leader, march, SATURDAY, SUNDAY } from './assign-around.js';

function explained(whole: AssignInput, pairs: Pair[]) {
  return explain(whole, candidatesOf(whole), pairs);
}

const pair = (leaderId: number, gapId: number, date = SATURDAY): Pair => ({ leaderId, gapId, date });

describe('why a leader is proposed', () => {
  it('is said in facts', () => {
    const whole = input([leader(1, { homeAreaId: 2, areaIds: [1], lat: 0.1, ledThisSeason: 3 })], [gap(5, { dates: [SUNDAY, SATURDAY] })]);
    expect(explained(whole, [pair(1, 5)]).proposed).toEqual([
      {
        gapId: 5,
        date: SATURDAY,
        leader: { leaderId: 1, isHomeArea: false, metresAway: 11_057, dates: [SATURDAY, SUNDAY], pledged: 2, left: 2, ledThisSeason: 3 },
        others: [],
      },
    ]);
  });

  it('comes with the others who could take it beside what they have, five at most, the best first', () => {
    const leaders = [
      leader(1),
      leader(2, { months: march(1) }),
      leader(3, { ledThisSeason: 5 }),
      leader(4, { lat: 0.1 }),
      leader(5),
      leader(6, { months: march(0) }),
      leader(7),
      leader(8, { months: march(-1) }),
    ];
    const { proposed } = explained(input(leaders, [gap(1), gap(2, { dates: [SUNDAY] })]), [pair(1, 1), pair(7, 2, SUNDAY)]);
    // Not 7, who leads on that weekend, nor 8, who has none left; 6 would be the sixth.
    expect(proposed[0]?.others.map(({ leaderId }) => leaderId)).toEqual([5, 4, 3, 2, 6]);
    const more = input([...leaders, leader(9)], [gap(1), gap(2, { dates: [SUNDAY] })]);
    expect(explained(more, [pair(1, 1), pair(7, 2, SUNDAY)]).proposed[0]?.others.map(({ leaderId }) => leaderId)).toEqual([5, 9, 4, 3, 2]);
  });

  it('counts what the others are proposed for: the month may be full, and the next walk weighs more', () => {
    const other = gap(2, { dates: ['2027-03-20'] });
    const others = (left: number) =>
      explained(input([leader(1), leader(2, { months: march(left) }), leader(3, { months: march(1) })], [gap(1), other]), [
        pair(1, 1),
        pair(2, 2, '2027-03-20'),
      ]).proposed[0]?.others.map(({ leaderId }) => leaderId);
    // 2 has two left and takes one: as much is left as to 3, and one led more this season.
    expect([others(2), others(0), others(3)]).toEqual([[3, 2], [3], [2, 3]]);
  });
});

describe('why nobody is proposed', () => {
  const why = (...leaders: Parameters<typeof input>[0]) => explained(input(leaders, [gap(1)]), []).unfilled[0];

  it('is what kept back those who came nearest', () => {
    expect(why()?.why).toBe('area');
    expect(why(leader(1, { homeAreaId: 2 }), leader(2, { days: [1] }))?.why).toBe('day');
    expect(why(leader(1, { months: march(-1) }), leader(2, { days: [1] }))?.why).toBe('pledge');
  });

  it('is that those who could are proposed for others', () => {
    const { unfilled } = explained(input([leader(1)], [gap(1), gap(2)]), [pair(1, 1)]);
    expect(unfilled).toEqual([{ gapId: 2, why: 'taken', others: [] }]);
  });

  it('names those who still could, where the time was over', () => {
    expect(why(leader(1))).toMatchObject({ why: 'taken', others: [{ leaderId: 1 }] });
  });
});
