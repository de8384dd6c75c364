import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { partiesThatFit } from '../../server/signups/places.js';

describe('freed places', () => {
  it('go to the first party that fits, as a whole', () => {
    const line = [
      { id: 1, partySize: 3 },
      { id: 2, partySize: 2 },
      { id: 3, partySize: 1 },
    ];
    expect(partiesThatFit(2, line)).toEqual([2]);
    expect(partiesThatFit(3, line)).toEqual([1]);
    expect(partiesThatFit(4, line)).toEqual([1, 3]);
    expect(partiesThatFit(0, line)).toEqual([]);
  });

  it('are never given twice, and leave no party that would still fit', () => {
    const parties = fc.array(fc.integer({ min: 1, max: 8 }), { maxLength: 30 });
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 40 }), parties, (free, sizes) => {
        const line = sizes.map((partySize, id) => ({ id, partySize }));
        const fitting = partiesThatFit(free, line);
        const used = fitting.reduce((sum, id) => sum + (sizes[id] ?? 0), 0);
        const smallestLeft = Math.min(...line.filter((party) => !fitting.includes(party.id)).map((party) => party.partySize));
        expect(used).toBeLessThanOrEqual(free);
        expect(smallestLeft).toBeGreaterThan(free - used);
      }),
    );
  });
});
