import type { waivers } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { sha256 } from './document.js';

export type WaiverRow = typeof waivers.$inferSelect;
/** What the chain holds fast of a signature: all but its number, its hash, and the address that can be erased. */
export type Linked = Omit<WaiverRow, 'id' | 'email' | 'hash'>;

/** The hash that stands for a signature and, by `previous`, for every one before it. Pure. */
export function linkHash(row: Linked): string {
  return sha256(
    JSON.stringify([
      row.previous,
      row.how,
      row.textId,
      row.textSha256,
      row.signUpId,
      row.memberId,
      row.addressMark,
      row.forName,
      row.forKey,
      row.signedAs,
      row.signerName,
      row.signerKey,
      row.signature,
      row.intent,
      row.consent,
      row.proof,
      row.seenBy,
      row.signedAt,
      row.keptAt,
      row.format,
      row.documentSha256,
    ]),
  );
}

/** What shows that the chain's end was written by whoever holds the key. */
export function headMark(sealer: Sealer, count: number, hash: string): string {
  return sealer.derive('waiver head', `${count}:${hash}`);
}
