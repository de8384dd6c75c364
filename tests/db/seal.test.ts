import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SealBroken, Sealer } from '../../server/db/seal.js';

const sealer = new Sealer(Buffer.alloc(32, 1));
const place = { table: 'emergency_contacts', column: 'sealed', row: 7 };

describe('a sealed value', () => {
  it('opens as it was, and never looks the same twice', () => {
    fc.assert(
      fc.property(fc.json(), (text) => {
        const value: unknown = JSON.parse(text);
        expect(sealer.open(place, sealer.seal(place, value))).toEqual(value);
      }),
    );
    expect(sealer.seal(place, 'x').equals(sealer.seal(place, 'x'))).toBe(false);
  });

  it.each([
    ['another row', { ...place, row: 8 }],
    ['another column', { ...place, column: 'note' }],
    ['another table', { ...place, table: 'waivers' }],
  ])('does not open in %s', (_, elsewhere) => {
    expect(() => sealer.open(elsewhere, sealer.seal(place, 'x'))).toThrow(SealBroken);
  });

  it('does not open with any bit flipped, cut short, or with another key', () => {
    const sealed = sealer.seal(place, { phone: '+12025550188' });
    for (let bit = 0; bit < sealed.length * 8; bit += 1) {
      const flipped = Buffer.from(sealed);
      flipped.writeUInt8(flipped.readUInt8(bit >> 3) ^ (1 << (bit & 7)), bit >> 3);
      expect(() => sealer.open(place, flipped)).toThrow(SealBroken);
    }
    for (let length = 0; length < sealed.length; length += 1)
      expect(() => sealer.open(place, sealed.subarray(0, length))).toThrow(SealBroken);
    expect(() => new Sealer(Buffer.alloc(32, 2)).open(place, sealed)).toThrow(SealBroken);
  });
});
