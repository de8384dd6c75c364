import qs from 'qs';
import type { Typed } from './forms.js';

/** The most that a form may send, its file apart. */
export const FORM_BYTES = 256 * 1024;
export const MOST_FIELDS = 2000;

/** Reads a posted form; `members[0][name]` becomes lists and groups. No key can reach an object's prototype. */
export function parseForm(body: string): Typed {
  // One & more than there are fields: qs would cut the rest off in silence.
  if (body.split('&', MOST_FIELDS + 1).length > MOST_FIELDS) throw Object.assign(new Error('too many fields'), { statusCode: 413 });
  return qs.parse(body, { depth: 3, arrayLimit: 200, parameterLimit: MOST_FIELDS, allowPrototypes: false, plainObjects: true }) as Typed;
}
