import { createCipheriv, createDecipheriv, createHash, createHmac, randomBytes } from 'node:crypto';

const FORMAT = 1;
const KEY_BYTES = 32;
const IV_BYTES = 12;
const TAG_BYTES = 16;
const HEADER_BYTES = 2;
const IV_END = HEADER_BYTES + IV_BYTES;
const TAG_END = IV_END + TAG_BYTES;

/** Where a sealed value belongs. It opens nowhere else. */
export interface Place {
  table: string;
  column: string;
  row: number;
}

/** A key and the number by which sealed values name it in their second byte: 1 to 255. */
export interface SealKey {
  id: number;
  key: Buffer;
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
  readonly #keys: ReadonlyMap<number, Buffer>;
  readonly #newest: SealKey;
  readonly #derivation: Buffer;

  /**
   * @param keys 32 bytes each, kept outside the database. The first seals, any opens; one alone is number 1
   * @param derivation what secrets are derived from; where it is left out, they follow from the first key
   */
  constructor(keys: Buffer | readonly SealKey[], derivation?: Buffer) {
    const all = Buffer.isBuffer(keys) ? [{ id: 1, key: keys }] : keys;
    const [newest] = all;
    if (!newest) throw new Error('A sealer needs a key.');
    for (const { id, key } of all) {
      if (key.length !== KEY_BYTES) throw new Error('The seal key must be 32 bytes (64 hexadecimal digits).');
      if (!Number.isInteger(id) || id < 1 || id > 255) throw new Error(`A key's number is 1 to 255, not ${id}.`);
    }
    this.#keys = new Map(all.map(({ id, key }) => [id, key]));
    this.#newest = newest;
    this.#derivation = derivation ?? derivationOf(newest.key);
  }

  seal(place: Place, value: unknown): Buffer {
    return this.#sealText(place, JSON.stringify(value));
  }

  /** What {@link seal} was given. @throws SealBroken */
  open(place: Place, sealed: Buffer): unknown {
    const text = this.#openText(place, sealed);
    try {
      return JSON.parse(text) as unknown;
    } catch {
      throw new SealBroken(place);
    }
  }

  /** The same value under the newest key, or null where it is sealed with that already. @throws SealBroken where it does not open */
  reseal(place: Place, sealed: Buffer): Buffer | null {
    const text = this.#openText(place, sealed);
    return sealed[1] === this.#newest.id ? null : this.#sealText(place, text);
  }

  /** A 256-bit secret that only the holder of the key can work out again, as 43 address-safe characters. */
  derive(purpose: string, subject: string | number): string {
    return createHmac('sha256', this.#derivation).update(`${purpose}:${subject}`).digest('base64url');
  }

  #sealText(place: Place, text: string): Buffer {
    const { id, key } = this.#newest;
    const iv = randomBytes(IV_BYTES);
    const cipher = createCipheriv('aes-256-gcm', key, iv);
    cipher.setAAD(bound(place));
    const body = Buffer.concat([cipher.update(text, 'utf8'), cipher.final()]);
    return Buffer.concat([Buffer.from([FORMAT, id]), iv, cipher.getAuthTag(), body]);
  }

  #openText(place: Place, sealed: Buffer): string {
    const key = this.#keys.get(sealed[1] ?? 0);
    // Node would accept a tag of four bytes: a value cut short must not get that far.
    if (!key || sealed[0] !== FORMAT || sealed.length < TAG_END) throw new SealBroken(place);
    try {
      const decipher = createDecipheriv('aes-256-gcm', key, sealed.subarray(HEADER_BYTES, IV_END));
      decipher.setAAD(bound(place));
      decipher.setAuthTag(sealed.subarray(IV_END, TAG_END));
      return Buffer.concat([decipher.update(sealed.subarray(TAG_END)), decipher.final()]).toString('utf8');
    } catch {
      throw new SealBroken(place);
    }
  }
}

/** What secrets are derived from in a database that knows one key only. */
export function derivationOf(key: Buffer): Buffer {
  return createHmac('sha256', key).update('waymeet derived secrets').digest();
}

/** By which a database knows a key again, and people can tell two apart: a keyed digest, from which the key can't be worked out. */
export function keyMark(key: Buffer): string {
  return createHmac('sha256', key).update('waymeet key mark').digest('hex').slice(0, 12);
}

function bound(place: Place): Buffer {
  return Buffer.from(`${place.table}:${place.column}:${place.row}`);
}

/** What a table stores in place of a bearer secret. */
export function hashed(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}
