/** A page that is kept for when there is no signal: the roll of a walk, or its emergency page. */
export interface KeptPage {
  walk: number;
  path: string;
}

/** What is kept of a walk. No page of them holds a phone number of anybody, a contact or a note. */
export function keptPages(walk: number): string[] {
  return [`/lead/walks/${walk}/roll`, `/lead/walks/${walk}/roll/help`];
}

/** The kept page at this path, or null. */
export function keptPageAt(path: string): KeptPage | null {
  const found = /^\/lead\/walks\/(\d{1,15})\/roll(\/help)?$/.exec(path);
  return found ? { walk: Number(found[1]), path } : null;
}

export function isAsset(path: string): boolean {
  return path.startsWith('/assets/');
}

const CACHES = 'waymeet-roll-';

/** The name of the cache of one walk's roll. */
export function cacheOf(walk: number): string {
  return `${CACHES}${walk}`;
}

/** The walk that a cache is of; null where it is none of ours. */
export function walkOfCache(name: string): number | null {
  return name.startsWith(CACHES) ? Number(name.slice(CACHES.length)) : null;
}
