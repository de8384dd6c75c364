/** The walk whose roll is at this path, or null. */
export function walkOfRoll(path: string): number | null {
  const found = /^\/lead\/walks\/(\d{1,15})\/roll$/.exec(path);
  return found ? Number(found[1]) : null;
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
