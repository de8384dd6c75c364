import { NAME_ERASED } from './erased.js';

/** Running text without some names, addresses and numbers: each where it stands alone, not within a longer word. Pure. */
export function withoutWords(text: string, words: Iterable<string>): string {
  // The longest first: a name may begin with another.
  const longest = [...words].filter((word) => word !== '').sort((a, b) => b.length - a.length);
  if (longest.length === 0) return text;
  const any = longest.map((word) => word.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')).join('|');
  return text.replace(new RegExp(`(?<![\\p{L}\\p{N}])(?:${any})(?![\\p{L}\\p{N}])`, 'gu'), NAME_ERASED);
}
