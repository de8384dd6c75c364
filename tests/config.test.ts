import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT, readConfig } from '../server/config.js';

describe('the settings', () => {
  it('name all faults at once, and what to put there', () => {
    const read = () => readConfig({ PORT: 'many', BASE_URL: 'walks', SEAL_KEY: 'short', NOTICE_HOLD: '-1' });
    expect(read).toThrow(/PORT[\s\S]*BASE_URL: an address[\s\S]*SEAL_KEY: 64 hexadecimal digits[\s\S]*NOTICE_HOLD/);
  });

  it('lets load tests off the limit on loopback only', () => {
    expect(readConfig({ RATE_LIMIT: 'off' }).rateLimit).toBe(false);
    expect(() => readConfig({ RATE_LIMIT: 'off', HOST: '192.0.2.7' })).toThrow(/loopback/);
  });

  it('refuses what would fail later, each with what to put there', () => {
    expect(() => readConfig({ TRUST_PROXY: 'nonsense' })).toThrow(/TRUST_PROXY: addresses separated by commas/);
    expect(readConfig({ TRUST_PROXY: '127.0.0.1, 10.0.0.0/8, uniquelocal, ::1' }).trustProxy).toContain('uniquelocal');
    expect(() => readConfig({ BASE_URL: 'https://walks.example/path' })).toThrow(/without a path/);
    expect(() => readConfig({ HOST: '0.0.0.0' })).toThrow(/needs BASE_URL/);
    expect(() => readConfig({ LOG_LEVEL: 'loud' })).toThrow(/one of fatal, error/);
  });

  it('takes an empty setting for one that is not set', () => {
    expect(readConfig({ SMTP_URL: '', BASE_URL: '' })).toMatchObject({ smtpUrl: undefined, baseUrl: 'http://127.0.0.1:3000' });
  });

  it('takes one key or, while it is changed, two', () => {
    const [one, two] = ['a1'.repeat(32), 'B2'.repeat(32)];
    expect(readConfig({}).sealKeys).toEqual([]);
    expect(readConfig({ SEAL_KEY: one }).sealKeys).toEqual([one]);
    expect(readConfig({ SEAL_KEY: ` ${two} , ${one}` }).sealKeys).toEqual([two.toLowerCase(), one]);
    expect(readConfig({ SEAL_KEY: `${one},${one.toUpperCase()}` }).sealKeys).toEqual([one]);
    for (const wrong of [`${one},`, `${one} ${two}`, `${one},${two},${one}`, one.slice(1), `${one}0`]) {
      expect(() => readConfig({ SEAL_KEY: wrong })).toThrow(/SEAL_KEY: 64 hexadecimal digits/);
      expect(() => readConfig({ SEAL_KEY: wrong })).not.toThrow(one.slice(2));
    }
  });

  it('has a line in README for each', () => {
    const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');
    const named = [...readFileSync(join(ROOT, 'server/config.ts'), 'utf8').matchAll(/^ {2}([A-Z][A-Z_]+):/gm)].map((found) => found[1]);
    expect(named.length).toBeGreaterThan(8);
    for (const name of named) expect(readme).toMatch(new RegExp(`^\\| \`${name}\` \\|`, 'm'));
  });
});
