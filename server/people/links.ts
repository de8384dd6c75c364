import type { Sealer } from '../db/seal.js';
import { readableCode } from './code.js';

const CODE_LENGTH = 8;

/** The secret part of a mailed sign-in address. Worked out from the key as the mail is made; the table holds only its hash. */
export function signInToken(sealer: Sealer, linkId: number): string {
  return sealer.derive('sign-in', linkId);
}

/** What is typed on the device that asked, where the mail was opened on another: 8 characters, 40 bits. */
export function signInCode(sealer: Sealer, linkId: number): string {
  return readableCode(sealer.derive('sign-in-code', linkId), CODE_LENGTH);
}
