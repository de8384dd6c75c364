import { describe, expect, it } from 'vitest';
import { batch, layDay, sent, stateOf } from '../support/roll.js';

const deep = (depth: number) => `${'['.repeat(depth)}${']'.repeat(depth)}`;

describe('whatever is posted to a roll as JSON', () => {
  it('is answered with a sentence or with the roll, and never with a fault of ours', async () => {
    const { site, cast, path } = await layDay();
    const leader = cast.browser('leader');
    const { csrf } = await stateOf(leader, path);
    const entry = sent('m1', { kind: 'arrived' });
    const with_ = (changed: object) => JSON.stringify({ csrf, ...batch([entry]), ...changed });
    const bodies: (string | Buffer)[] = [
      '',
      'null',
      '[]',
      '7',
      '"a"',
      '{',
      `{"csrf":"${csrf}","entries":${deep(20_000)}}`,
      `{"csrf":"${csrf}","device":"phone-of-lena","sentAt":0,"entries":[${deep(10_000)}]}`,
      `{"csrf":"${csrf}","__proto__":{"a":1}}`,
      `{"csrf":"${csrf}","constructor":{"prototype":{"a":1}}}`,
      with_({ entries: Array.from({ length: 501 }, () => entry) }),
      with_({ entries: Array.from({ length: 500 }, () => null) }),
      with_({ entries: { length: 3 } }),
      with_({
        entries: [
          { ...entry, at: 1e308 },
          { ...entry, at: -1 },
          { ...entry, at: 0.5 },
        ],
      }),
      with_({ entries: [{ ...entry, entry: 'own-entry-of-a-phone', after: ['own-entry-of-a-phone'] }] }),
      with_({ entries: [{ ...entry, who: 'm9007199254740993', entry: 'entry-of-no-number' }] }),
      with_({ entries: [{ ...entry, entry: 'entry-far-in-time-1', at: Number.MAX_SAFE_INTEGER }], sentAt: 0 }),
      with_({ entries: [{ ...entry, entry: 'entry-far-in-time-2', at: 0 }], sentAt: Number.MAX_SAFE_INTEGER }),
      with_({ entries: [], people: [{ key: 'a-key-of-a-phone', name: '\ud800\u0000\u202e' }] }),
      with_({ sentAt: '0' }),
      with_({ csrf: ['a'] }),
      Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d]),
    ];
    const headers = { 'sec-fetch-site': 'same-origin', cookie: leader.cookie };
    for (const type of ['application/json', 'application/json; charset=utf-16', 'text/plain', 'application/xml'])
      for (const payload of bodies) {
        const { statusCode } = await site.app.inject({ method: 'POST', url: path, headers: { ...headers, 'content-type': type }, payload });
        expect([statusCode < 500, type, payload.toString().slice(0, 120)]).toEqual([true, type, payload.toString().slice(0, 120)]);
      }
    const page = await leader.get(path);
    expect(page.status).toBe(200);
    expect(page.text).toContain('Ana Ferreira');
  });
});
