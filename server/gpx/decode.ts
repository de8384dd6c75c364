import { TextDecoder } from 'node:util';
import { REFUSED, refused } from './refusals.js';

const DECLARED = /^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([\w.:-]{1,40})["']/;
/** How far a declaration is looked for. */
const HEAD_BYTES = 512;
/** What the bytes 80 to 9f are in windows-1252: Node 20 and 22 decode them as ISO-8859-1 does, into control characters. */
const HIGH_1252 = '€\x81‚ƒ„…†‡ˆ‰Š‹Œ\x8dŽ\x8f\x90‘’“”•–—˜™š›œ\x9džŸ';
/** How zip and gzip files begin. */
const ARCHIVES = [
  [0x50, 0x4b, 0x03, 0x04],
  [0x1f, 0x8b],
];

/**
 * The text of a file: by its byte order mark, by how "<" is spelled, or by the encoding its XML declaration names; UTF-8 otherwise
 * (XML 1.0, appendix F).
 */
export function decode(bytes: Uint8Array): { text: string } | { fault: string } {
  if (ARCHIVES.some((signature) => signature.every((byte, index) => bytes[index] === byte))) return { fault: REFUSED.archive };
  const label = encodingOf(bytes);
  // No encoding but UTF-16 has the byte nought in a text.
  if (!label.startsWith('utf-16') && bytes.includes(0)) return { fault: REFUSED.damaged };
  const decoder = decoderFor(label);
  if (!decoder) return { fault: refused.encoding(label) };
  const text = decoded(decoder, bytes);
  if (text === null) return { fault: refused.undecodable(label.toUpperCase()) };
  if (text.trim() === '') return { fault: REFUSED.empty };
  return text.includes('\0') ? { fault: REFUSED.damaged } : { text };
}

function encodingOf(bytes: Uint8Array): string {
  const [first, second, third] = bytes;
  if (first === 0xef && second === 0xbb && third === 0xbf) return 'utf-8';
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  if (first === 0xfe && second === 0xff) return 'utf-16be';
  if (first === 0x3c && second === 0) return 'utf-16le';
  if (first === 0 && second === 0x3c) return 'utf-16be';
  const declared = DECLARED.exec(Buffer.from(bytes.subarray(0, HEAD_BYTES)).toString('latin1'))?.[1];
  // The declaration itself was read byte for byte, so the file can't be what it says: writers of text in memory often leave this behind.
  return declared === undefined || /utf-?(16|32)|ucs-?2/i.test(declared) ? 'utf-8' : declared.toLowerCase();
}

function decoderFor(label: string): TextDecoder | null {
  try {
    return new TextDecoder(label, { fatal: true });
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function decoded(decoder: TextDecoder, bytes: Uint8Array): string | null {
  try {
    const text = decoder.decode(bytes);
    return decoder.encoding === 'windows-1252' ? text.replace(/[\x80-\x9f]/g, (c) => HIGH_1252[c.charCodeAt(0) - 0x80] ?? c) : text;
  } catch (error) {
    if (error instanceof TypeError) return null;
    throw error;
  }
}
