import { createCipheriv, createDecipheriv, createHash, createHmac, randomBytes } from 'node:crypto';

const FORMAT = 1;
const IV_BYTES = 12;
const TAG_BYTES = 16;
const HEADER_BYTES = 2;

/** Where a sealed value belongs. It opens nowhere else. */
export interface Place {
  table: string;
  column: string;
  row: number;
}

/** Thrown where a sealed value was changed, moved, cut short, or sealed with a key that is not here. */
export class SealBroken extends Error {
  constructor(place: Place) {
    super(`sealed value of ${place.table}.${place.column} row ${place.row} does not open`);
  }
}

/**
 * Seals personal details (AES-256-GCM; format ‖ key id ‖ IV ‖ tag ‖ ciphertext, bound to table, column and row) and derives the
 * secrets that must be found again but not stored: links mailed more than once.
 */
export class Sealer {
  readonly #key: Buffer;
  readonly #derivation: Buffer;
  readonly #keyId: number;

  /** @param key 32 bytes, kept outside the database */
  constructor(key: Buffer, keyId = 1) {
    if (key.length !== 32) throw new Error('The seal key must be 32 bytes (64 hexadecimal digits).');
    this.#key = key;
    this.#keyId = keyId;
    this.#derivation = createHmac('sha256', key).update('waymeet derived secrets').digest();
  }

  seal(place: Place, value: unknown): Buffer {
    const iv = randomBytes(IV_BYTES);
    const cipher = createCipheriv('aes-256-gcm', this.#key, iv);
    cipher.setAAD(bound(place));
    const body = Buffer.concat([cipher.update(JSON.stringify(value), 'utf8'), cipher.final()]);
    return Buffer.concat([Buffer.from([FORMAT, this.#keyId]), iv, cipher.getAuthTag(), body]);
  }

  /** What {@link seal} was given. @throws SealBroken */
  open(place: Place, sealed: Buffer): unknown {
    try {
      if (sealed[0] !== FORMAT || sealed[1] !== this.#keyId) throw new SealBroken(place);
      const ivEnd = HEADER_BYTES + IV_BYTES;
      const decipher = createDecipheriv('aes-256-gcm', this.#key, sealed.subarray(HEADER_BYTES, ivEnd));
      decipher.setAAD(bound(place));
      decipher.setAuthTag(sealed.subarray(ivEnd, ivEnd + TAG_BYTES));
      const text = Buffer.concat([decipher.update(sealed.subarray(ivEnd + TAG_BYTES)), decipher.final()]).toString('utf8');
      return JSON.parse(text) as unknown;
    } catch {
      throw new SealBroken(place);
    }
  }

  /** A 256-bit secret that only the holder of the key can work out again, as 43 address-safe characters. */
  derive(purpose: string, subject: string | number): string {
    return createHmac('sha256', this.#derivation).update(`${purpose}:${subject}`).digest('base64url');
  }
}

function bound(place: Place): Buffer {
  return Buffer.from(`${place.table}:${place.column}:${place.row}`);
}

/** What a table stores in place of a bearer secret. */
export function hashed(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}
