import { describe, expect, it } from 'vitest';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

const MIB = 1024 * 1024;
const PATH = '/lead/walks/new';

async function leader() {
  const site = await openSite();
  const cast = layCast(site);
  const browser = cast.browser('leader');
  const send = (payload: string | Buffer, type = 'multipart/form-data; boundary=x') => {
    const headers = { origin: site.config.baseUrl, 'content-type': type, cookie: browser.cookie };
    return site.app.inject({ method: 'POST', url: PATH, headers, payload });
  };
  return { site, browser, send };
}

describe('a form that brings a file', () => {
  it('larger than a file may be comes back with a sentence beside the file, and all that was typed', async () => {
    const { browser } = await leader();
    const answer = await browser.postFile(
      PATH,
      { ...WALK_FIELDS, intent: 'post' },
      { field: 'gpx', name: 'a.gpx', bytes: Buffer.alloc(10 * MIB + 1, 97) },
    );
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('larger than 10 MB');
    expect(formFields(answer.text)).toMatchObject({ routeName: 'Ridge round', distance: '12' });
  });

  it('larger than anyone means is cut off', async () => {
    const { browser } = await leader();
    const answer = await browser.postFile(
      PATH,
      { ...WALK_FIELDS, intent: 'post' },
      { field: 'gpx', name: 'a.gpx', bytes: Buffer.alloc(41 * MIB, 97) },
    );
    expect(answer.status).toBe(413);
  });

  it('without a file chosen is a form like any other', async () => {
    const { browser } = await leader();
    const answer = await browser.postFile(PATH, { ...WALK_FIELDS, intent: 'draft' }, { field: 'gpx', name: '', bytes: Buffer.alloc(0) });
    expect(answer.status).toBe(303);
  });

  it('with an empty file says so', async () => {
    const { browser } = await leader();
    const answer = await browser.postFile(
      PATH,
      { ...WALK_FIELDS, intent: 'post' },
      { field: 'gpx', name: 'a.gpx', bytes: Buffer.alloc(0) },
    );
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/id="gpx-error">[^<]*empty/);
  });

  it.each([
    ['no boundary', 'multipart/form-data', '--x--'],
    ['an empty body', 'multipart/form-data; boundary=x', ''],
    ['a body that breaks off', 'multipart/form-data; boundary=x', '--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nhalf'],
    [
      'a file that breaks off',
      'multipart/form-data; boundary=x',
      '--x\r\nContent-Disposition: form-data; name="gpx"; filename="a.gpx"\r\n\r\n<gpx',
    ],
    ['another boundary', 'multipart/form-data; boundary=x', '--y\r\nContent-Disposition: form-data; name="a"\r\n\r\nb\r\n--y--\r\n'],
  ])('with %s answers with a page', async (_, type, body) => {
    const { send } = await leader();
    expect((await send(body, type)).statusCode).toBeGreaterThanOrEqual(400);
    expect((await send(body, type)).statusCode).toBeLessThan(500);
  });

  it('with a field far too long, or far too many, is refused whole', async () => {
    const { send } = await leader();
    const part = (name: string, value: string) => `--x\r\nContent-Disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`;
    expect((await send(`${part('directions', 'a'.repeat(300_000))}--x--\r\n`)).statusCode).toBe(413);
    expect((await send(`${part('a', 'b'.repeat(60_000)).repeat(5)}--x--\r\n`)).statusCode).toBe(413);
    expect((await send(`${part('a'.repeat(201), 'b')}--x--\r\n`)).statusCode).toBe(413);
    expect((await send(`${Array.from({ length: 2001 }, () => part('a', 'b')).join('')}--x--\r\n`)).statusCode).toBe(413);
  });

  it('is taken from those who may come, and from nobody else', async () => {
    const { site } = await leader();
    const headers = { origin: site.config.baseUrl, 'content-type': 'multipart/form-data; boundary=x' };
    expect((await site.app.inject({ method: 'POST', url: PATH, headers, payload: 'x' })).statusCode).toBe(303);
    expect((await site.app.inject({ method: 'POST', url: '/sign-in', headers, payload: 'x' })).statusCode).toBe(415);
  });
});
