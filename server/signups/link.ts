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

const PROOF_LENGTH = 16;

/** What stands in a mailed link and nowhere else: whoever brings it has read mail at the sign-up's address. */
export function mailProof(sealer: Sealer, signUpId: number): string {
  return sealer.derive('mailed', signUpId).slice(0, PROOF_LENGTH);
}

/** The private address as it is mailed. */
export function mailedLink(sealer: Sealer, baseUrl: string, signUpId: number): string {
  return `${signUpLink(sealer, baseUrl, signUpId)}?mail=${mailProof(sealer, signUpId)}`;
}

/** The secret part of the address by which an absent adult reads and signs. It changes with their address: a link sent to a wrong one leads nowhere then. */
export function signingToken(sealer: Sealer, memberId: number, email: string): string {
  return sealer.derive('signing', `${memberId}:${email}`);
}

export function signingTokenHash(sealer: Sealer, memberId: number, email: string): string {
  return hashed(signingToken(sealer, memberId, email));
}

export function signingLink(sealer: Sealer, baseUrl: string, memberId: number, email: string): string {
  return `${baseUrl}/waivers/${signingToken(sealer, memberId, email)}`;
}
