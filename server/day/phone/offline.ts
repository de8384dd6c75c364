import { cacheOf, keptPages } from './addresses.js';

/**
 * Makes the page open without signal: a worker that answers for it, and in its cache the page, the emergency page and what they are drawn with. Does nothing where
 * the browser allows no worker (plain http).
 */
export async function openWithoutSignal(walk: number, worker: string): Promise<void> {
  if (!('serviceWorker' in navigator) || !('caches' in globalThis)) return;
  try {
    await navigator.serviceWorker.register(worker, { scope: '/lead/walks/' });
    const cache = await caches.open(cacheOf(walk));
    await Promise.all(drawnWith().map((href) => keepAsset(cache, href)));
    // Last: a page without its script would be worse than none.
    for (const path of keptPages(walk).reverse()) await keepPage(cache, path);
    await navigator.storage?.persist?.();
  } catch {
    return; // no signal, or no room: what was kept before still is
  }
}

async function keepPage(cache: Cache, path: string): Promise<void> {
  const page = await fetch(path, { cache: 'no-store' });
  if (page.status === 200 && !page.redirected) await cache.put(path, page);
}

async function keepAsset(cache: Cache, href: string): Promise<void> {
  if (!(await cache.match(href))) await cache.add(href);
}

/** Style, typeface, icon and script, as the page names them. */
function drawnWith(): string[] {
  const links = [...document.querySelectorAll<HTMLLinkElement>('link[rel=stylesheet], link[rel=preload], link[rel=icon]')].map(
    ({ href }) => href,
  );
  return [...links, ...[...document.scripts].map(({ src }) => src).filter((src) => src !== '')];
}
