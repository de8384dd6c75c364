import { z } from 'zod';

/** The longest address that mail can carry (RFC 5321 §4.5.3.1.3, less the angle brackets). */
const MOST_CHARACTERS = 254;

const address = z.email().max(MOST_CHARACTERS);

/** An e-mail address in small letters, as it is kept and compared; null where it can't be one. */
export function readEmail(typed: string): string | null {
  const read = address.safeParse(typed.trim().toLowerCase());
  return read.success ? read.data : null;
}

export const EMAIL_FAULT = 'Type an e-mail address such as ana@walkers.example.';

/** A name to begin with, from an address: "ana.lopez+walks@…" gives "Ana Lopez". The person can change it. */
export function nameFromEmail(email: string): string {
  const local = email.split('@')[0] ?? '';
  const words = (local.split('+')[0] ?? '').split(/[._-]+/).filter((word) => word !== '');
  const name = words.map((word) => word[0]?.toUpperCase() + word.slice(1)).join(' ');
  return name || local;
}
