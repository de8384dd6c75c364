import { SaxesParser } from 'saxes';
import { decode } from './decode.js';
import { type GpxRead, gatherer } from './gather.js';
import { REFUSED, refused } from './refusals.js';

const MOST_DEPTH = 32;
const MOST_ATTRIBUTES = 200;
/** What is parsed at a time: a file that is refused costs at most this much more. */
const SLICE_CHARACTERS = 64 * 1024;

/** A "&" that begins nothing XML knows: the parser would take everything up to the next ";" for a name. */
const LOOSE_AMPERSAND = /&(?!(?:amp|lt|gt|quot|apos|#\d{1,7}|#x[\da-fA-F]{1,6});)/g;

/** The way, the places and the name in a file, however sloppy; or a sentence that says why not. Never throws for what a file holds. */
export function readGpx(bytes: Uint8Array): GpxRead | { fault: string } {
  const decoded = decode(bytes);
  return 'fault' in decoded ? decoded : readText(decoded.text);
}

/** The same, of a file that is text already. */
function readText(text: string): GpxRead | { fault: string } {
  // Blank lines before the XML declaration are against the rules, and common.
  const start = text.search(/[^\s\ufeff]/);
  if (start < 0) return { fault: REFUSED.empty };
  if (text[start] !== '<') return { fault: REFUSED.noGpx };
  const doctype = doctypeOf(text);
  if (doctype !== null) return { fault: doctype };
  const blankLines = text.slice(0, start).split('\n').length - 1;
  return parse(text.slice(start).replace(LOOSE_AMPERSAND, '&amp;'), blankLines);
}

function parse(text: string, blankLines: number): GpxRead | { fault: string } {
  const parser = new SaxesParser();
  const gather = gatherer();
  let fault: string | null = null;
  let hasRoot = false;
  let isRead = false;
  let attributes = 0;
  const line = () => parser.line + blankLines;
  const isOver = () => fault !== null || isRead;
  const refuse = (sentence: string | null) => {
    if (!isOver()) fault = sentence;
  };

  parser.on('doctype', () => refuse(REFUSED.doctype));
  parser.on('attribute', () => {
    attributes += 1;
    if (attributes > MOST_ATTRIBUTES) refuse(refused.attributes(line()));
  });
  parser.on('opentag', (tag) => {
    attributes = 0;
    if (isOver()) return;
    const name = localName(tag.name);
    if (!hasRoot && name !== 'gpx') return refuse(otherRoot(name));
    hasRoot = true;
    if (gather.depth() >= MOST_DEPTH) return refuse(refused.depth(MOST_DEPTH, line()));
    refuse(gather.open(name, tag.attributes, line()));
  });
  parser.on('closetag', () => {
    if (isOver()) return;
    gather.close();
    isRead = gather.depth() === 0;
  });
  parser.on('text', (heard) => !isOver() && gather.hear(heard));
  parser.on('cdata', (heard) => !isOver() && gather.hear(heard));
  parser.on('error', () => refuse(hasRoot ? refused.broken(line()) : REFUSED.noGpx));

  for (let at = 0; at < text.length && !isOver(); at += SLICE_CHARACTERS) parser.write(text.slice(at, at + SLICE_CHARACTERS));
  if (fault !== null) return { fault };
  return isRead ? gather.finish() : { fault: refused.breaksOff(line()) };
}

/** What stands before the first element is looked at before it is parsed: the parser would gather a whole DOCTYPE, however large. */
function doctypeOf(text: string): string | null {
  const root = text.search(/<[\p{L}_:]/u);
  const found = /<!DOCTYPE(\s+html\b)?/i.exec(root < 0 ? text : text.slice(0, root));
  if (!found) return null;
  return found[1] ? REFUSED.webPage : REFUSED.doctype;
}

/** Without its prefix, whatever that is bound to. */
function localName(name: string): string {
  return name.slice(name.indexOf(':') + 1).toLowerCase();
}

const OTHER_FORMATS: Record<string, string> = {
  kml: 'KML',
  trainingcenterdatabase: 'TCX',
  svg: 'a drawing',
  rss: 'a feed',
  feed: 'a feed',
};

function otherRoot(name: string): string {
  if (name === 'html') return REFUSED.webPage;
  const format = Object.hasOwn(OTHER_FORMATS, name) ? OTHER_FORMATS[name] : undefined;
  return format ? refused.otherFormat(format) : REFUSED.noGpx;
}
