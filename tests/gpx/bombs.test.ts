import { afterAll, describe, expect, it } from 'vitest';
import { readGpx } from '../../server/gpx/read.js';
import { routeReader } from '../../server/gpx/reader.js';
import { gpx, points, track, utf16, winding } from './files.js';

const MIB = 1024 * 1024;
const MOST_GROWN_MIB = 400;
const reader = routeReader();
afterAll(() => reader.close());

/** Text of 10 MiB made of one piece. */
const filled = (piece: string, mib = 10) => piece.repeat(Math.floor((mib * MIB) / piece.length));

const LAUGHS = `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY l0 "lol">${Array.from({ length: 30 }, (_, index) => `<!ENTITY l${index + 1} "${`&l${index};`.repeat(10)}">`).join('')}]><gpx><name>&l30;</name></gpx>`;
const SPIRAL = Array.from({ length: 99_000 }, (_, index): [number, number] => [
  41 + index * 1e-6 * Math.sin(index),
  -85 + index * 1e-6 * Math.cos(index),
]);

const BOMBS: [string, () => string | Buffer, RegExp | 'route'][] = [
  ['10 MiB of nesting', () => `<gpx>${filled('<a>')}`, /more than 32 elements deep/],
  ['10 MiB of nested points', () => `<gpx><trk>${filled('<trkpt lat="1" lon="2">')}`, /more than 32 elements deep/],
  ['a billion laughs', () => LAUGHS, /has a DOCTYPE/],
  ['10 MiB of DOCTYPE', () => `<!DOCTYPE gpx [${filled('<!ENTITY a "b">')}]><gpx/>`, /has a DOCTYPE/],
  ['a DOCTYPE that does not end', () => `<!DOCTYPE gpx [${filled('<!ENTITY a "b">')}`, /has a DOCTYPE/],
  ['100,001 points', () => gpx(`<trk>${'<trkpt lat="1" lon="2"/>'.repeat(100_001)}</trk>`), /more than 100,000 points/],
  ['an attribute of 9 MiB', () => gpx(`<trk><trkseg><trkpt lat="${filled('1', 9)}" lon="2"/></trkseg></trk>`), /latitude/],
  ['a latitude of 9 MiB of blanks', () => gpx(`<trk><trkseg><trkpt lat="${filled(' ', 9)}x" lon="2"/></trkseg></trk>`), /latitude/],
  ['10 MiB of attributes', () => `<gpx ${Array.from({ length: 900_000 }, (_, index) => `a${index}="" `).join('')}/>`, /more attributes/],
  ['a name of 10 MiB', () => gpx(`<name>${filled('&amp;')}</name>${track()}`), 'route'],
  ['10 MiB of loose ampersands', () => gpx(`<name>${filled('& ', 3)}</name>${track()}`), 'route'],
  ['10 MiB of CDATA that begins', () => `<gpx><name>${filled('<![CDATA[')}`, /breaks off/],
  ['10 MiB of comment that begins', () => `<gpx>${filled('<!--')}`, /can't be understood|breaks off/],
  ['an element name of 10 MiB', () => `<gpx><${filled('a')}`, /breaks off/],
  ['10 MiB of blanks', () => filled(' '), /empty/],
  ['10 MiB of declaration', () => `<?xml ${filled('encoding ')}`, /no GPX|breaks off/],
  ['10 MiB of empty segments', () => gpx(`<trk>${filled('<trkseg/>')}</trk>`), /no track and no route/],
  ['400,000 places', () => gpx(`${filled('<wpt lat="1" lon="2"/>')}${track()}`), /more than 100,000 points/],
  [
    '60,000 taps beside 50,000 points',
    () =>
      gpx(
        `${points(
          SPIRAL.slice(0, 60_000).map(([lat, lon]) => [(lat + 0.3).toFixed(6), (lon - 0.07).toFixed(6)]),
          'wpt',
        ).replaceAll('></wpt>', '><sym>tap</sym></wpt>')}${winding(50_000).slice(120, -7)}`,
      ),
    'route',
  ],
  [
    '50,000 segments of two points',
    () =>
      gpx(
        `<trk>${Array.from(
          { length: 50_000 },
          (_, i) =>
            `<trkseg>${points([
              [(i % 170) - 85, (i % 359) - 179],
              [(i % 170) - 84, (i % 359) - 178],
            ])}</trkseg>`,
        ).join('')}</trk>`,
      ),
    'route',
  ],
  ['a spiral of 99,000 points', () => gpx(track(SPIRAL)), 'route'],
  [
    '100,000 points all over',
    () =>
      gpx(
        `<trk>${Array.from({ length: 100_000 }, (_, i) => `<trkpt lat="${(i * 7919) % 90}" lon="${(i * 104_729) % 179}"/>`).join('')}</trk>`,
      ),
    'route',
  ],
  ['9 MiB of UTF-16 LE', () => utf16(winding(40_000), 'LE', true).subarray(0, 9 * MIB), 'route'],
  ['9 MiB of UTF-16 BE', () => utf16(winding(40_000), 'BE', false).subarray(0, 9 * MIB), 'route'],
  ['10 MiB of nought', () => Buffer.alloc(10 * MIB), /bytes that no text has/],
  ['10 MiB of the same byte', () => Buffer.alloc(10 * MIB, 0xff), /not written in UTF-8/],
];

describe('bombs', () => {
  it.each(BOMBS)(
    '%s',
    async (_, make, expected) => {
      const bytes = Buffer.from(make());
      const before = process.memoryUsage().rss;
      // Those that are refused are, without a process's limits, too.
      const result = expected === 'route' ? await reader.read(bytes) : readGpx(bytes);
      const grown = Math.round((process.resourceUsage().maxRSS * 1024 - before) / MIB);
      if (expected === 'route') expect(result).toHaveProperty('route');
      else expect(result).toEqual({ fault: expect.stringMatching(expected) });
      // The heap of a process of its own is 160 MB at most; the file and its text lie beside it. Peaks of the tests before count in.
      expect(grown).toBeLessThan(MOST_GROWN_MIB);
    },
    40_000,
  );
});
