import { describe, expect, it } from 'vitest';
import { nameFromEmail, readEmail } from '../../server/people/email.js';

describe('an e-mail address', () => {
  it('is kept in small letters, without the blanks around it', () => {
    expect(readEmail(' Ana.Lopez@Walkers.EXAMPLE ')).toBe('ana.lopez@walkers.example');
  });

  it('may be 254 characters long and no longer', () => {
    const long = (count: number) => `ana@${'a'.repeat(50)}.${'b'.repeat(50)}.${'c'.repeat(50)}.${'d'.repeat(count)}.example`;
    const fits = long(254 - long(0).length);
    expect(fits).toHaveLength(254);
    expect(readEmail(fits)).toBe(fits);
    expect(readEmail(long(255 - long(0).length))).toBeNull();
  });

  it.each([
    '',
    'ana',
    'ana@',
    '@walkers.example',
    'ana@walkers.example\r\nBcc: eve@evil.example',
    'ana@walkers.example, eve@evil.example',
    'ana@walkers.example;eve@evil.example',
    'Ana <ana@walkers.example>',
    '"ana\r\n"@walkers.example',
    'ana@walkers.example\0',
    'ana @walkers.example',
  ])('is not %j', (typed) => {
    expect(readEmail(typed)).toBeNull();
  });

  it.each([
    ['ana@walkers.example', 'Ana'],
    ['ana.maria_lopez+walks@walkers.example', 'Ana Maria Lopez'],
    ['+@walkers.example', '+'],
  ])('%s suggests the name %s', (email, name) => {
    expect(nameFromEmail(email)).toBe(name);
  });
});
