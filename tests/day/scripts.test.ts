import { expect, it } from 'vitest';
import { openSite } from '../support/app.js';
import { Browser } from '../support/browser.js';
import { layDay } from '../support/roll.js';

it('the roll names its script, which is kept for good, and the worker is asked for each time', async () => {
  const { cast, path } = await layDay();
  const leader = cast.browser('leader');
  const href = /<script type="module" src="(\/assets\/roll-[^"]+)">/.exec((await leader.get(path)).text)?.[1] ?? '';
  const script = await leader.get(href);
  expect([script.status, script.headers['content-type'], script.headers['cache-control']]).toEqual([
    200,
    'text/javascript; charset=utf-8',
    'public, max-age=31536000, immutable',
  ]);
  const worker = await leader.get('/roll-worker.js');
  expect([worker.status, worker.headers['content-type'], worker.headers['cache-control']]).toEqual([
    200,
    'text/javascript; charset=utf-8',
    'no-cache',
  ]);
});

it('the roll is given without its page to a script that asks, and never kept by HTTP', async () => {
  const { cast, path, site } = await layDay();
  const { cookie } = cast.browser('leader');
  const answer = await site.app.inject({ url: path, headers: { cookie, accept: 'application/json' } });
  expect([answer.statusCode, answer.headers['cache-control'], answer.json().people.length]).toEqual([200, 'no-store', 3]);
});

it.each([
  ['https://walks.example', '"cache", "storage"'],
  ['http://walks.example', undefined],
])('signing out of %s has the browser clear %s', async (BASE_URL, cleared) => {
  const site = await openSite({ BASE_URL });
  const answer = await new Browser(site.app).post('/sign-out');
  expect([answer.status, answer.headers['clear-site-data']]).toEqual([303, cleared]);
});
