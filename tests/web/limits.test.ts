import { expect, it } from 'vitest';
import { redact } from '../../server/app.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';

async function answers(addresses: string[]): Promise<number[]> {
  const site = await openSite({ RATE_LIMIT: 'on', TRUST_PROXY: '127.0.0.1' });
  const statuses: number[] = [];
  for (const address of addresses) {
    const answer = await site.app.inject({
      method: 'POST',
      url: '/sign-in',
      headers: { origin: site.config.baseUrl, 'x-forwarded-for': address },
    });
    statuses.push(answer.statusCode);
  }
  return statuses;
}

const times = (count: number, make: (index: number) => string) => Array.from({ length: count }, (_, index) => make(index));

it('one address may ask so often, and then gets a page that says to wait', async () => {
  const statuses = await answers([...times(25, () => '192.0.2.7'), '192.0.2.8']);
  expect(statuses.filter((status) => status === 429).length).toBeGreaterThan(0);
  expect(statuses.at(-1)).toBe(422);
});

it('the addresses of one IPv6 household count as one', async () => {
  const statuses = await answers([...times(25, (index) => `2001:db8:1:2::${index + 1}`), '2001:db8:1:3::1']);
  expect(statuses.filter((status) => status === 429).length).toBeGreaterThan(0);
  expect(statuses.at(-1)).toBe(422);
});

it('a stranger cannot choose their address: only the proxy is believed', async () => {
  const site = await openSite({ RATE_LIMIT: 'on' });
  const statuses: number[] = [];
  for (let index = 0; index < 25; index += 1) {
    const headers = { origin: site.config.baseUrl, 'x-forwarded-for': `192.0.2.${index}` };
    statuses.push((await site.app.inject({ method: 'POST', url: '/sign-in', headers })).statusCode);
  }
  expect(statuses.at(-1)).toBe(429);
});

it('a form with thousands of fields is too large, and a long list of ticks is read', async () => {
  const site = await openSite();
  const leader = layCast(site).browser('leader');
  const many = Object.fromEntries(Array.from({ length: 2100 }, (_, index) => [`x${index}`, '1']));
  expect((await leader.post('/lead/walks/new', many)).status).toBe(413);
  const ticks = await leader.post('/lead/walks/new', { surface: [...Array.from({ length: 250 }, () => 'gravel'), 'steps'] });
  expect(ticks.text).toMatch(/value="steps" checked/);
});

it.each(['/sign-ups/secret%', `/sign-ups/${'a'.repeat(300)}`, '/%E0%A4%A'])(
  'an address that cannot be read (%s) gets a plain page, and is not echoed',
  async (url) => {
    const site = await openSite();
    const answer = await site.app.inject({ url });
    expect(answer.statusCode).toBe(404);
    expect(answer.body).not.toContain('secret');
    expect(answer.headers['content-security-policy']).toContain("default-src 'none'");
  },
);

it('a page whose address is a secret is kept by nobody and told to nobody, whatever it answers', async () => {
  const site = await openSite();
  const answer = await site.app.inject({ url: '/sign-ups/unknown' });
  expect(answer.headers).toMatchObject({ 'cache-control': 'no-store', 'referrer-policy': 'no-referrer' });
  expect((await site.app.inject({ url: '/' })).headers['referrer-policy']).toBe('same-origin');
  expect(redact('/sign-ups/abc/withdraw?x=1')).toBe('/sign-ups/…/withdraw');
  expect(redact('/lead/calendar/abc.ics')).toBe('/lead/calendar/…');
});
