import type { Sealer } from '../db/seal.js';

/** What stands for an address where the address itself must not stay: only the holder of the key can work it out again. */
export function addressMark(sealer: Sealer, email: string): string {
  return sealer.derive('address', email);
}

/** What shows that an erasure, at this instant (ms), was written by whoever holds the key. */
export function erasureProof(sealer: Sealer, mark: string, at: number): string {
  return sealer.derive('erased', `${mark} ${at}`);
}
