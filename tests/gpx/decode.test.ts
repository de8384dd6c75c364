import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { decode } from '../../server/gpx/decode.js';
import { utf16 } from './files.js';

const NAME = 'Bärental – 山';
const xml = (encoding: string) => `<?xml version="1.0" encoding="${encoding}"?><gpx>${NAME}</gpx>`;
const plain = `<gpx>${NAME}</gpx>`;

describe('the text of a file', () => {
  it.each<[string, Buffer, string]>([
    ['UTF-8', Buffer.from(plain), plain],
    ['UTF-8 with a mark', Buffer.from(`\ufeff${plain}`), plain],
    ['UTF-8, declared', Buffer.from(xml('utf-8')), xml('utf-8')],
    ['UTF-8 that calls itself UTF-16', Buffer.from(xml('utf-16')), xml('utf-16')],
    ['UTF-8 that calls itself UCS-2', Buffer.from(xml('ISO-10646-UCS-2')), xml('ISO-10646-UCS-2')],
    ['UTF-16 LE with a mark', utf16(xml('UTF-16'), 'LE', true), xml('UTF-16')],
    ['UTF-16 BE with a mark', utf16(xml('UTF-16'), 'BE', true), xml('UTF-16')],
    ['UTF-16 LE without', utf16(plain, 'LE', false), plain],
    ['UTF-16 BE without', utf16(plain, 'BE', false), plain],
    ['UTF-16 that calls itself UTF-8', utf16(xml('UTF-8'), 'LE', true), xml('UTF-8')],
    [
      'ISO-8859-1',
      Buffer.from('<?xml version="1.0" encoding="ISO-8859-1"?><gpx>Bär</gpx>', 'latin1'),
      '<?xml version="1.0" encoding="ISO-8859-1"?><gpx>Bär</gpx>',
    ],
    [
      'windows-1252',
      Buffer.from("<?xml version='1.0' encoding='windows-1252'?><gpx>5 \x80</gpx>", 'latin1'),
      "<?xml version='1.0' encoding='windows-1252'?><gpx>5 €</gpx>",
    ],
  ])('%s', (_, bytes, text) => {
    expect(decode(bytes)).toEqual({ text });
  });

  it.each<[string, Buffer, RegExp]>([
    [
      'an encoding nobody knows',
      Buffer.from('<?xml version="1.0" encoding="klingon-8"?><gpx/>'),
      /written in "klingon-8", which is not known here\. Export it again as GPX 1\.1 in UTF-8\.$/,
    ],
    ['Latin-1 that says nothing', Buffer.from('<gpx>Bär</gpx>', 'latin1'), /^This file is not written in UTF-8, as it says or seems\./],
    ['half a character of UTF-16', utf16(plain, 'LE', true).subarray(0, -1), /not written in UTF-16LE/],
    ['half a pair of UTF-16', utf16('<gpx>\ud800</gpx>', 'LE', true), /not written in UTF-16LE/],
    ['bytes of nought', Buffer.from('<gpx>\0\0</gpx>'), /^This file has bytes that no text has/],
    ['nought in UTF-16', utf16('<gpx>\0</gpx>', 'BE', true), /^This file has bytes that no text has/],
    ['a track in bytes', Buffer.from([14, 16, 0, 0, 0x2e, 0x46, 0x49, 0x54, 255]), /^This file has bytes that no text has/],
    ['gzip', gzipSync(plain), /^This is a compressed file\. Unpack it/],
    ['zip', Buffer.from('PK\u0003\u0004 and so on'), /^This is a compressed file/],
    ['a mark alone', Buffer.from([0xef, 0xbb, 0xbf]), /^This file is empty/],
    ['nothing', Buffer.alloc(0), /^This file is empty/],
  ])('refuses %s', (_, bytes, sentence) => {
    expect(decode(bytes)).toEqual({ fault: expect.stringMatching(sentence) });
  });
});
