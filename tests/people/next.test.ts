import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { safeNext } from '../../server/people/next.js';

const BASE = 'https://walks.example';

describe('where to go after signing in', () => {
  it.each([
    ['/lead', '/lead'],
    ['/walks/7/sign-up?from=mail#rules', '/walks/7/sign-up?from=mail#rules'],
    ['lead', '/lead'],
    ['https://walks.example/me', '/me'],
    ['/.//evil.example', '/evil.example'],
  ])('%s leads to %s', (next, path) => {
    expect(safeNext(next, BASE)).toBe(path);
  });

  it.each([
    '',
    '//evil.example',
    '/\\evil.example',
    '\\\\evil.example',
    '/\t/evil.example',
    'https://evil.example/',
    'https:\\\\evil.example',
    'http://walks.example/',
    'https://walks.example:8443/',
    'https://walks.example@evil.example/',
    'javascript:alert(1)',
    'data:text/html,x',
    '/sign-in',
    '/sign-in/abc',
    '/sign-out',
    `/${'a'.repeat(2000)}`,
  ])('%s leads nowhere', (next) => {
    expect(safeNext(next, BASE)).toBeNull();
  });

  it('leads to this site whatever is asked for', () => {
    const piece = fc.constantFrom('/', '\\', '.', '..', '//', '@', ':', '?', '#', 'https:', 'evil.example', '\t', '\n', '%2f', 'a');
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.array(piece, { maxLength: 8 }).map((parts) => parts.join('')),
        ),
        (next) => {
          const path = safeNext(next, BASE);
          if (path === null) return;
          expect(path).toMatch(/^\/(?![/\\])/);
          expect(new URL(path, BASE).origin).toBe(BASE);
        },
      ),
      { numRuns: 2000 },
    );
  });
});
