import { cacheOf, isAsset, type KeptPage, keptPageAt } from '../phone/addresses.js';
import { ask } from '../phone/exchange.js';
import { forgetRoll, forgetShown } from '../phone/forget.js';
import { openKept } from '../phone/keep.js';

declare const self: ServiceWorkerGlobalScope;

/** A page that takes longer than this is a page that doesn't come: the kept one is shown. */
const SLOWEST_MS = 3000;

self.addEventListener('install', () => void self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

/** The roll's page, the emergency page, and what they are drawn with. Everything else goes its way as if there were no worker. */
self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return;
  const page = keptPageAt(url.pathname);
  if (page !== null && request.mode === 'navigate') event.respondWith(keptPage(event, page, url.search === ''));
  else if (isAsset(url.pathname)) event.respondWith(asset(request));
});

/** Assets have their content's hash in their address, so a kept one is as good as a fetched one. */
async function asset(request: Request): Promise<Response> {
  return (await caches.match(request.url)) ?? fetch(request);
}

/** From the service where it answers in time, else the kept one. @param plain without a query: one with somebody's name in it is never kept */
async function keptPage(event: FetchEvent, page: KeptPage, plain: boolean): Promise<Response> {
  const fetched = fetch(event.request);
  // Whatever is shown: an answer that comes is kept, or clears what is kept.
  event.waitUntil(
    fetched.then(
      (answer) => (plain ? keepPage(page, answer.clone()) : undefined),
      () => undefined,
    ),
  );
  const kept = await caches.match(page.path, { cacheName: cacheOf(page.walk) });
  if (!kept) return fetched;
  const answer = await Promise.race([fetched.catch(() => null), after(SLOWEST_MS)]);
  // A gateway that can't reach the service is no signal, too.
  return answer && answer.status < 500 ? answer : kept;
}

async function after(ms: number): Promise<null> {
  return new Promise((resolve) => setTimeout(() => resolve(null), ms));
}

async function keepPage({ walk, path }: KeptPage, answer: Response): Promise<void> {
  if (answer.status === 200) {
    // Only a roll that was kept by its script is kept on: closing and signing out have removed the others.
    if (await caches.has(cacheOf(walk))) await (await caches.open(cacheOf(walk))).put(path, answer);
  } else if (answer.type === 'opaqueredirect') {
    // To the sign-in page.
    await forgetShown(await openKept(), walk);
  } else if (answer.status === 403 || answer.status === 404) {
    // A gateway may say so: the service is asked again in words that only it answers.
    if ((await ask(walk)).kind === 'not yours') await forgetRoll(await openKept(), walk);
  }
}
