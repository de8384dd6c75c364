import { describe, expect, it } from 'vitest';
import { Sealer } from '../../server/db/seal.js';
import { plainCode, readableCode, spacedCode } from '../../server/people/code.js';
import { signInCode, signInToken } from '../../server/people/links.js';

const sealer = new Sealer(Buffer.alloc(32, 7));

describe('codes that people type', () => {
  it('have eight characters that are not taken for one another', () => {
    for (let id = 1; id < 200; id += 1) expect(signInCode(sealer, id)).toMatch(/^[2-9A-HJ-NP-Z]{8}$/);
  });

  it('differ from link to link, and from the token', () => {
    const codes = new Set(Array.from({ length: 500 }, (_, id) => signInCode(sealer, id)));
    expect(codes.size).toBe(500);
    expect(signInToken(sealer, 1)).not.toBe(signInToken(sealer, 2));
    expect(signInToken(sealer, 1)).toMatch(/^[\w-]{43}$/);
  });

  it('are the same in small letters, with blanks and with hyphens', () => {
    const code = signInCode(sealer, 3);
    expect(plainCode(` ${spacedCode(code).toLowerCase()} `)).toBe(code);
    expect(plainCode(spacedCode(code).replace(' ', '-'))).toBe(code);
  });

  it('are not made from too short a secret', () => {
    expect(() => readableCode('AAAA', 8)).toThrow(/as many bytes/);
  });
});
