import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toHtml } from '../../server/texts/markdown.js';

describe("a group's text", () => {
  it('begins its headings at the third level and ends them at the sixth', () => {
    expect(toHtml('# One\n\n## Two')).toBe('<h3>One</h3>\n<h4>Two</h4>\n');
    expect(toHtml('##### Five\n\n###### Six')).toBe('<h6>Five</h6>\n<h6>Six</h6>\n');
    expect(toHtml('Set\n===')).toBe('<h3>Set</h3>\n');
  });

  it('links to web and mail addresses', () => {
    expect(toHtml('[a](https://walks.example/x)')).toContain('<a href="https://walks.example/x">a</a>');
    expect(toHtml('[a](http://walks.example/)')).toContain('<a href="http://walks.example/">');
    expect(toHtml('[a](mailto:ana@walkers.example)')).toContain('<a href="mailto:ana@walkers.example">');
  });

  it.each([
    '[a](javascript:alert(1))',
    '[a](JavaScript:alert(1))',
    '[a](&#106;avascript:alert(1))',
    '[a](data:text/html,x)',
    '[a](vbscript:x)',
    '[a](ftp://walks.example)',
    '[a](//evil.example)',
    '<javascript:alert(1)>',
    '[a](/me)',
  ])('does not link: %s', (text) => {
    expect(toHtml(text)).not.toContain('href');
  });

  it('loads no pictures', () => {
    expect(toHtml('![a](https://evil.example/pixel.png)')).not.toContain('<img');
  });

  it('shows HTML as it was typed', () => {
    expect(toHtml('<script>alert(1)</script> <b>x</b>')).toBe('<p>&lt;script&gt;alert(1)&lt;/script&gt; &lt;b&gt;x&lt;/b&gt;</p>\n');
  });

  it('lets no other element or address through, whatever is typed', () => {
    const piece = fc.constantFrom(
      '<',
      '>',
      '"',
      "'",
      '[',
      ']',
      '(',
      ')',
      'javascript:',
      'onload=',
      '`',
      '![',
      'data:',
      '\n',
      '#',
      '&',
      'a',
      ' ',
      '<a href=x>',
    );
    fc.assert(
      fc.property(
        fc.array(piece, { maxLength: 30 }).map((parts) => parts.join('')),
        (text) => {
          const tags = toHtml(text).match(/<[^>]*>/g) ?? [];
          for (const tag of tags)
            expect(tag).toMatch(
              /^<(\/?(p|h[3-6]|code|pre|blockquote|ul|ol|li|em|strong|a)|br|hr|code class="language-[^" ]*"|a href="((https?:\/\/|mailto:)[^"]*)?"( title="[^"]*")?)>$/,
            );
        },
      ),
      { numRuns: 3000 },
    );
  });
});
