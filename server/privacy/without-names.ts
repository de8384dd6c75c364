import type { SignedWaiver, WalkContent } from '../notices/content.js';
import { NAME_ERASED } from './erased.js';

/** What says where a walk is, and who leads it (server/privacy/blank-notices.ts sees to that one): the same words there are no walker's name. */
const ABOUT_THE_WALK: ReadonlySet<string> = new Set<keyof WalkContent>(['facts', 'title', 'areaName', 'leader']);

/** Words the program goes by, at whatever depth: somebody may be called like one. */
const CODE_WORDS: ReadonlySet<string> = new Set(['state', 'kind', 'news', 'signedAs']);

/**
 * A frozen mail without some names: every text in it that is one of them, however deep, so that what is added to a mail's content is
 * covered before anyone thinks of it. Pure.
 */
export function withoutNames(walk: WalkContent, names: ReadonlySet<string>): WalkContent {
  const parts = Object.entries(walk).map(([key, part]) => [key, ABOUT_THE_WALK.has(key) ? part : blanked(part as unknown, names)]);
  return Object.fromEntries(parts) as WalkContent;
}

function blanked(value: unknown, names: ReadonlySet<string>): unknown {
  if (typeof value === 'string') return names.has(value) ? NAME_ERASED : value;
  if (Array.isArray(value)) return value.map((one) => blanked(one, names));
  if (typeof value !== 'object' || value === null) return value;
  const fields = Object.entries(value).map(([key, one]) => [key, CODE_WORDS.has(key) ? one : blanked(one, names)] as const);
  return withoutSignature(Object.fromEntries(fields));
}

/** Whoever signed is found by their name; the signature beside it may be typed a little differently. */
function withoutSignature(fields: Partial<Record<keyof SignedWaiver, unknown>>): unknown {
  if (typeof fields.signature !== 'string') return fields;
  return (fields.signerName ?? fields.forName) === NAME_ERASED ? { ...fields, signature: NAME_ERASED } : fields;
}
