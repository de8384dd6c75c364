import { describe, expect, it } from 'vitest';
import { commitment, pledgeFor } from '../../server/commitment/rules.js';

describe("a leader's month", () => {
  it.each([
    [2, false, { kept: 2, coming: 0 }, { state: 'kept', short: 0 }],
    [2, false, { kept: 1, coming: 1 }, { state: 'on course', short: 0 }],
    [2, false, { kept: 1, coming: 0 }, { state: 'short', short: 1 }],
    [2, false, { kept: 0, coming: 0 }, { state: 'short', short: 2 }],
    [2, true, { kept: 0, coming: 0 }, { state: 'excused', short: 0 }],
    [2, true, { kept: 2, coming: 0 }, { state: 'kept', short: 0 }],
    [null, false, { kept: 0, coming: 0 }, { state: 'none', short: 0 }],
  ] as const)('pledge %s, excused %s, %o: %o', (pledge, excused, walks, state) => {
    expect(commitment(pledge, excused, walks)).toEqual(state);
  });

  it('takes the pledge that stood in that month: a later one does not rewrite the past', () => {
    const pledges = [
      { fromMonth: '2026-09', walks: 1 },
      { fromMonth: '2026-12', walks: 3 },
    ];
    const terms = [{ fromMonth: '2026-09', untilMonth: null }];
    expect(pledgeFor('2026-11', terms, pledges)).toBe(1);
    expect(pledgeFor('2026-12', terms, pledges)).toBe(3);
    expect(pledgeFor('2026-08', terms, pledges)).toBeNull();
  });
});
