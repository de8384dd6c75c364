import { line, lines, type Typed } from '../web/forms.js';

export const MOST_CHARACTERS = 40_000;
/** What such a form may send: each character takes up to nine bytes on its way, and a longer text still has to come back to whoever typed it. */
export const TEXT_FORM_BYTES = 1024 * 1024;

/** A text as it was typed, and the version it was opened at. */
export interface TypedText {
  body: string;
  /** NaN where none was sent. */
  base: number;
}

export function readText(typed: Typed): TypedText {
  return { body: lines(typed, 'body'), base: Number(line(typed, 'base') || Number.NaN) };
}

export type Refusal = 'empty' | 'too long' | 'nothing changed' | 'published meanwhile';

/** Why a text can't become the next version; null where it can. Pure. */
export function refusal({ body, base }: TypedText, inForce: { version: number; body: string }): Refusal | null {
  if (!/[\p{L}\p{N}]/u.test(body)) return 'empty';
  if (body.length > MOST_CHARACTERS) return 'too long';
  if (body === inForce.body) return 'nothing changed';
  return base === inForce.version ? null : 'published meanwhile';
}
