/** Letters and digits that are not taken for one another when read aloud or written down: no 0 or O, no 1 or I. 32, so each is five bits. */
const ALPHABET = '23456789ABCDEFGHJKLMNPQRSTUVWXYZ';

/** A code for people to type, from the first bytes of `secret` (address-safe base64): five bits a character. */
export function readableCode(secret: string, length: number): string {
  const bytes = Buffer.from(secret, 'base64url').subarray(0, length);
  if (bytes.length < length) throw new Error(`a code of ${length} characters needs as many bytes`);
  return Array.from(bytes, (byte) => ALPHABET[byte % ALPHABET.length]).join('');
}

/** A code as it was made, from any usual way of typing it: small letters, blanks, hyphens. */
export function plainCode(typed: string): string {
  return typed.toUpperCase().replace(/[^0-9A-Z]/g, '');
}

/** "K7QP 3MXD": in fours, as codes are read. */
export function spacedCode(code: string): string {
  return code.replace(/(.{4})(?=.)/g, '$1 ');
}
