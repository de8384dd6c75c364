import { hashed, type Sealer } from '../db/seal.js';

/** What the private address of a numbered thing is worked out from. `madeAt` (ms): numbers may come again in a database that was put back from a backup. */
export interface AddressKey {
  id: number;
  madeAt: number;
}

/**
 * Private addresses of one kind, by which whoever has the mail answers it: the secret part, its hash for the table, and the whole address. Worked out from the key, so that
 * nothing that is stored leads there. @param purpose sets a kind's secrets apart from every other's @param path before the secret part
 */
export function privateAddress(purpose: string, path: string) {
  const token = (sealer: Sealer, { id, madeAt }: AddressKey) => sealer.derive(purpose, `${id}:${madeAt}`);
  return {
    token,
    tokenHash: (sealer: Sealer, key: AddressKey) => hashed(token(sealer, key)),
    link: (sealer: Sealer, baseUrl: string, key: AddressKey) => `${baseUrl}${path}/${token(sealer, key)}`,
  };
}
