import { createCipheriv } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { derivationOf, keyMark, SealBroken, Sealer } from '../../server/db/seal.js';

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

describe('a sealer with several keys', () => {
  const [old, next] = [Buffer.alloc(32, 1), Buffer.alloc(32, 2)];
  const both = new Sealer(
    [
      { id: 2, key: next },
      { id: 1, key: old },
    ],
    derivationOf(old),
  );

  it('seals with the first, opens what any of them sealed, and derives what the one key alone derived', () => {
    const sealed = both.seal(place, 'x');
    expect(sealed[1]).toBe(2);
    expect(new Sealer([{ id: 2, key: next }]).open(place, sealed)).toBe('x');
    expect(both.open(place, sealer.seal(place, 'y'))).toBe('y');
    expect(() => sealer.open(place, sealed)).toThrow(SealBroken);
    expect(both.derive('sign-up', 7)).toBe(sealer.derive('sign-up', 7));
    expect(new Sealer(next).derive('sign-up', 7)).not.toBe(sealer.derive('sign-up', 7));
  });

  it('seals again what an older key sealed, as it was, and leaves the rest', () => {
    const again = both.reseal(place, sealer.seal(place, { a: 1 }));
    expect(again?.[1]).toBe(2);
    expect(both.open(place, again ?? Buffer.alloc(0))).toEqual({ a: 1 });
    expect(both.reseal(place, both.seal(place, 'x'))).toBe(null);
    expect(() => both.reseal({ ...place, row: 8 }, sealer.seal(place, 'x'))).toThrow(SealBroken);
  });

  it('does not open a value whose key number was exchanged', () => {
    const sealed = sealer.seal(place, 'x');
    sealed[1] = 2;
    expect(() => both.open(place, sealed)).toThrow(SealBroken);
  });

  it('does not take a tag of four bytes, of which one in four thousand million fits by chance', () => {
    const cipher = createCipheriv('aes-256-gcm', old, Buffer.alloc(12));
    cipher.setAAD(Buffer.from('emergency_contacts:sealed:7'));
    cipher.final();
    const short = Buffer.concat([Buffer.from([1, 1]), Buffer.alloc(12), cipher.getAuthTag().subarray(0, 4)]);
    expect(() => both.reseal(place, short)).toThrow(SealBroken);
  });

  it('refuses keys and numbers that can not be', () => {
    expect(() => new Sealer([])).toThrow(/needs a key/);
    expect(() => new Sealer(Buffer.alloc(31))).toThrow(/32 bytes/);
    expect(() => new Sealer([{ id: 256, key: old }])).toThrow(/1 to 255/);
  });

  it('opens only the very value at its very place, whatever is done to it', () => {
    const bytes = fc.uint8Array({ minLength: 0, maxLength: 120 });
    const anywhere = fc.record({
      table: fc.constantFrom('emergency_contacts', 'kept_contacts'),
      column: fc.constantFrom('sealed', 'value'),
      row: fc.integer({ min: 1, max: 3 }),
    });
    const change = fc.oneof(
      fc.record({ kind: fc.constant('flip' as const), at: fc.nat(), bit: fc.integer({ min: 0, max: 7 }) }),
      fc.record({ kind: fc.constant('cut' as const), at: fc.nat() }),
      fc.record({ kind: fc.constant('add' as const), bytes: fc.uint8Array({ minLength: 1, maxLength: 20 }) }),
      fc.record({ kind: fc.constant('any' as const), bytes }),
      fc.record({ kind: fc.constant('move' as const), to: anywhere }),
    );
    fc.assert(
      fc.property(anywhere, fc.string(), fc.constantFrom(sealer, both), change, (home, text, by, done) => {
        const sealed = by.seal(home, text);
        let [value, at] = [sealed, home];
        if (done.kind === 'flip') {
          value = Buffer.from(sealed);
          const byte = done.at % value.length;
          value.writeUInt8(value.readUInt8(byte) ^ (1 << done.bit), byte);
        } else if (done.kind === 'cut') value = sealed.subarray(0, done.at % sealed.length);
        else if (done.kind === 'add') value = Buffer.concat([sealed, done.bytes]);
        else if (done.kind === 'any') value = Buffer.from(done.bytes);
        else at = done.to;
        const isHome = at.table === home.table && at.column === home.column && at.row === home.row;
        if (isHome && done.kind === 'move') expect(both.open(at, value)).toBe(text);
        else expect(() => both.open(at, value)).toThrow(SealBroken);
      }),
      { numRuns: 500 },
    );
  });
});

it('the mark of a key tells two apart, and is short', () => {
  expect(keyMark(Buffer.alloc(32, 1))).toMatch(/^[0-9a-f]{12}$/);
  expect(keyMark(Buffer.alloc(32, 1))).not.toBe(keyMark(Buffer.alloc(32, 2)));
});
