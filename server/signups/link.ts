import { hashed, type Sealer } from '../db/seal.js';

/** The secret part of a sign-up's private address. Worked out from the key, so that it can be mailed again while the table holds only its hash. */
export function signUpToken(sealer: Sealer, signUpId: number): string {
  return sealer.derive('sign-up', signUpId);
}

export function signUpTokenHash(sealer: Sealer, signUpId: number): string {
  return hashed(signUpToken(sealer, signUpId));
}

/** The private address itself. */
export function signUpLink(sealer: Sealer, baseUrl: string, signUpId: number): string {
  return `${baseUrl}/sign-ups/${signUpToken(sealer, signUpId)}`;
}
