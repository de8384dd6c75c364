import type { Sealer } from '../db/seal.js';

/** What stands for an address where the address itself must not stay: only the holder of the key can work it out again. */
export function addressMark(sealer: Sealer, email: string): string {
  return sealer.derive('address', email);
}
