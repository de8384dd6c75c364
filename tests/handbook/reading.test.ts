import { describe, expect, it } from 'vitest';
import { HANDBOOK } from '../../server/handbook/pages.js';
import { handbookProgress, readPages } from '../../server/handbook/store.js';
import { NOON, openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';

const [first, second] = HANDBOOK.map((page) => page.slug) as [string, string];
const last = HANDBOOK.at(-1)?.slug ?? '';

describe('reading the handbook', () => {
  it('anyone can, page by page, and is asked to sign in to keep it', async () => {
    const site = await openSite();
    const nobody = layCast(site).browser('nobody');
    const contents = (await nobody.get('/handbook')).text;
    for (const page of HANDBOOK) expect(contents).toContain(`href="/handbook/${page.slug}"`);
    expect(contents).not.toContain('You have read');
    const begin = (await nobody.get(`/handbook/${first}`)).text;
    expect(begin).toContain(`rel="next" href="/handbook/${second}"`);
    expect(begin).not.toContain('rel="prev"');
    expect(begin).not.toContain('<form method="post" action="/handbook');
    expect(begin).toContain(`/sign-in?next=/handbook/${first}`);
    const end = (await nobody.get(`/handbook/${last}`)).text;
    expect(end).toContain('rel="prev"');
    expect(end).toContain('<a class="forth" href="/lead/join/quiz">');
  });

  it('is marked by a button, which goes on to the next page; looking marks nothing', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const walker = cast.browser('walker');
    const progress = () => handbookProgress(site.db.q, cast.ids.walker);
    await walker.get(`/handbook/${first}`);
    await walker.get(`/handbook/${second}?read=${first}`);
    expect(progress()).toEqual({ read: 0, of: 7, next: first });
    const answer = await walker.post(`/handbook/${first}/read`);
    expect([answer.status, answer.headers.location]).toEqual([303, `/handbook/${second}?read=${first}`]);
    expect((await walker.get(String(answer.headers.location))).text).toContain('<b>Marked as read:</b> Planning a route.');
    expect(progress()).toEqual({ read: 1, of: 7, next: second });
    expect((await walker.get(`/handbook/${first}`)).text).not.toContain('I have read this page');
    expect((await walker.get('/handbook')).text).toContain('You have read 1 of 7.');
    expect(handbookProgress(site.db.q, cast.ids['other walker'])).toEqual({ read: 0, of: 7, next: first });
  });

  it('in any order names the first that is left, and in the end none', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const walker = cast.browser('walker');
    await walker.get('/handbook');
    await walker.post(`/handbook/${second}/read`);
    expect(handbookProgress(site.db.q, cast.ids.walker)).toEqual({ read: 1, of: 7, next: first });
    for (const page of HANDBOOK) await walker.post(`/handbook/${page.slug}/read`);
    expect(handbookProgress(site.db.q, cast.ids.walker)).toEqual({ read: 7, of: 7, next: null });
    const answer = await walker.post(`/handbook/${last}/read`);
    expect(answer.headers.location).toBe(`/handbook?read=${last}`);
    expect((await walker.get('/handbook')).text).toContain('You have read 7 of 7.');
  });

  it('marked twice keeps the first time', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const walker = cast.browser('walker');
    await walker.get('/handbook');
    await walker.post(`/handbook/${first}/read`);
    site.clock.now += 5000;
    expect((await walker.post(`/handbook/${first}/read`)).status).toBe(303);
    expect([...readPages(site.db.q, cast.ids.walker)]).toEqual([[first, NOON]]);
  });

  it('of a page that is not there answers 404, and keeps nothing', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const walker = cast.browser('walker');
    await walker.get('/handbook');
    for (const slug of ['nowhere', '1-planning-a-route', '..%2f..%2fpackage', 'constructor']) {
      expect((await walker.get(`/handbook/${slug}`)).status).toBe(404);
      expect((await walker.post(`/handbook/${slug}/read`)).status).toBe(404);
    }
    expect(readPages(site.db.q, cast.ids.walker).size).toBe(0);
    expect((await walker.get('/handbook?read=nowhere')).text).not.toContain('Marked as read');
  });
});
