import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measure } from '../../server/gpx/measure.js';
import { readGpx } from '../../server/gpx/read.js';
import { gpx, track, utf16 } from './files.js';

const SOUND = Buffer.from(
  gpx(
    `<metadata><name>Round &amp; <![CDATA[x]]></name></metadata><wpt lat="41.3" lon="-85.1"><sym>Toilet</sym></wpt>${track()}<!-- end -->`,
  ),
);

/** What a sentence is: it starts with a capital, ends with a stop, and says what to do. */
const SENTENCE = /^[A-Z][^\n]{20,}\.$/;

function holds(bytes: Uint8Array): void {
  const result = readGpx(bytes);
  if ('fault' in result) expect(result.fault).toMatch(SENTENCE);
  else expect(measure(result).pointCount).toBeGreaterThan(1);
}

const PIECES = [
  '<',
  '>',
  '&',
  ';',
  '"',
  "'",
  ']]>',
  '<![CDATA[',
  '<!--',
  '-->',
  '<?',
  '?>',
  '<!DOCTYPE',
  '<!ENTITY',
  '</',
  '/>',
  '\0',
  '\ufeff',
  '<trkpt',
  '<gpx>',
  ' lat="',
  'e999',
  '-',
  '\ud83d',
  '&#0;',
  '&lol;',
];

describe('anybody’s bytes', () => {
  it('give a route or a sentence where a sound file was changed at some places', () => {
    const change = fc.record({
      at: fc.nat(SOUND.length),
      cut: fc.nat(30),
      put: fc.oneof(
        fc.constantFrom(...PIECES).map((piece) => Buffer.from(piece)),
        fc.uint8Array({ maxLength: 4 }),
      ),
    });
    fc.assert(
      fc.property(fc.array(change, { minLength: 1, maxLength: 5 }), (changes) => {
        let bytes = SOUND;
        for (const { at, cut, put } of changes) bytes = Buffer.concat([bytes.subarray(0, at), put, bytes.subarray(at + cut)]);
        holds(bytes);
      }),
      { numRuns: 1000 },
    );
  });

  it('give a sentence or a route where one breaks off anywhere, in any encoding', () => {
    const wide = utf16(SOUND.toString(), 'LE', true);
    for (let end = 0; end < SOUND.length; end++) {
      holds(SOUND.subarray(0, end));
      holds(wide.subarray(0, end * 2 + (end % 2)));
    }
  });

  it('give a sentence where they are anything', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), holds), { numRuns: 500 });
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => holds(Buffer.from(`<gpx>${text}`))),
      { numRuns: 1000 },
    );
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...PIECES), { maxLength: 40 }), (pieces) => holds(Buffer.from(`<gpx>${pieces.join('')}`))),
      { numRuns: 500 },
    );
  });
});
