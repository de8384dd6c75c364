import { hashed, type Sealer } from '../db/seal.js';

/** What the private address of a letter is worked out from. `madeAt` (ms): numbers may come again in a database that was put back from a backup. */
export interface LetterKey {
  id: number;
  madeAt: number;
}

/** The secret part of the address by which a leader answers what they are asked. */
export function askToken(sealer: Sealer, { id, madeAt }: LetterKey): string {
  return sealer.derive('ask', `${id}:${madeAt}`);
}

export function askTokenHash(sealer: Sealer, key: LetterKey): string {
  return hashed(askToken(sealer, key));
}

export function askLink(sealer: Sealer, baseUrl: string, key: LetterKey): string {
  return `${baseUrl}/asks/${askToken(sealer, key)}`;
}
