import { execFileSync, spawnSync } from 'node:child_process';
import { gunzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Point } from '../../server/calc/route.js';
import { measure } from '../../server/gpx/measure.js';
import { escaped, writeGpx } from '../../server/gpx/write.js';
import { gpx, readable, track } from './files.js';
import { breaches } from './schema.js';

/** Two places that are not one: the point after is never the point before. */
const segments = fc.array(
  fc
    .array(
      fc.record<Point>({
        lat: fc.integer({ min: -90e7, max: 90e7 }).map((whole) => whole / 1e7 + 0),
        lon: fc.integer({ min: -180e7, max: 180e7 - 1 }).map((whole) => whole / 1e7 + 0),
        ele: fc.option(fc.integer({ min: -5000, max: 90_000 }).map((whole) => whole / 10 + 0)),
      }),
      { minLength: 2, maxLength: 12 },
    )
    .filter((points) => points.every((point, index) => point.lat !== points[index - 1]?.lat || point.lon !== points[index - 1]?.lon)),
  { minLength: 1, maxLength: 4 },
);
const TAP = { kinds: ['water' as const], metres: 1, offMetres: 0, lat: 1e-7, lon: -1e-7 };

describe('the clean file', () => {
  it('comes back as it was written, and keeps to the schema', () => {
    fc.assert(
      fc.property(segments, fc.string({ unit: 'binary' }), (way, name) => {
        const text = writeGpx({ segments: way, waypoints: [{ ...TAP, name }], name });
        expect(breaches(text)).toEqual([]);
        const back = readable(text);
        expect(back.segments).toEqual(way);
        expect(back.waypoints).toEqual([expect.objectContaining({ lat: 1e-7, lon: -1e-7, type: 'water' })]);
      }),
      { numRuns: 100 },
    );
  });

  it('is written the same again once it was read', () => {
    const once = writeGpx({ ...readable(gpx(`<name>Round</name>${track()}`)), waypoints: [{ ...TAP, name: 'Tap & "Sons" <1>' }] });
    const again = writeGpx({ ...readable(once), waypoints: [{ ...TAP, name: 'Tap & "Sons" <1>' }] });
    expect(again).toBe(once);
    expect(once).toContain(
      '<metadata><name>Round</name></metadata>\n<wpt lat="0.0000001" lon="-0.0000001"><name>Tap &amp; &quot;Sons&quot; &lt;1&gt;</name>',
    );
    expect(once).toContain('<trkpt lat="41.3000000" lon="-85.1000000"><ele>200.0</ele></trkpt>');
  });

  it('names a place without a name by what it offers', () => {
    expect(writeGpx({ segments: [], waypoints: [{ ...TAP, name: '', kinds: ['toilets', 'water'] }], name: '' })).toContain(
      '<name>toilets, water</name>',
    );
  });

  it('keeps nobody’s times, extensions or dated names', () => {
    const timed = track().replaceAll('</trkpt>', '<time>2026-05-01T09:00:00Z</time><extensions><hr>150</hr></extensions></trkpt>');
    const text = gunzipSync(
      measure(readable(gpx(`<metadata><name>2026-05-01 Morning</name><time>2026-05-01T09:00:00Z</time></metadata>${timed}`))).gpx,
    ).toString();
    expect(text).not.toMatch(/2026|time|hr|extensions|Morning|metadata/);
    expect(breaches(text)).toEqual([]);
  });

  it('leaves out the characters that XML 1.0 forbids', () => {
    expect(escaped('a\u0000b\u000bc\ufffed\ud800e\t😀&')).toBe('abcde\t😀&amp;');
  });

  it.runIf(spawnSync('which', ['xmllint']).status === 0)('is well-formed to xmllint', () => {
    execFileSync('xmllint', ['--noout', '-'], { input: writeGpx({ ...readable(gpx(track())), waypoints: [] }) });
  });
});

describe('the check of the schema', () => {
  const sound = writeGpx({ ...readable(gpx(`<name>Round</name>${track()}`)), waypoints: [{ ...TAP, name: 'Tap' }] });

  it.each([
    ['a waypoint after the track', sound.replace(/(<wpt.*<\/wpt>)\n(.*<\/trk>)/s, '$2$1'), 'wpt is out of its place in gpx'],
    ['the type before the name', sound.replace(/(<name>Tap<\/name>)(<type>water<\/type>)/, '$2$1'), 'name is out of its place in wpt'],
    ['two names', sound.replace('<name>Tap</name>', '<name>Tap</name><name>Tap</name>'), 'name is out of its place in wpt'],
    ['an exponent', sound.replace('0.0000001', '1e-7'), 'a latitude is 1e-7'],
    ['a longitude of 180', sound.replace('-85.1000000', '180.0'), 'a longitude is 180.0'],
    ['an element of its own', sound.replace('<type>', '<kind/><type>'), 'kind is out of its place in wpt'],
    ['no version', sound.replace(' version="1.1"', ''), 'the version is undefined'],
    ['no namespace', sound.replace(/ xmlns="[^"]*"/, ''), 'gpx is in no namespace of GPX 1.1'],
    ['a height that is none', sound.replace('>200.0<', '>NaN<'), 'ele is no decimal: NaN'],
    ['words between', sound.replace('<trk>', '<trk>way'), 'trk takes no text'],
  ])('finds %s', (_, text, breach) => {
    expect(breaches(text)).toContain(breach);
  });
});
