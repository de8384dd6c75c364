import { describe, expect, it } from 'vitest';
import { gpx, points, readable, track, WAY } from './files.js';

const POINTS = [
  { lat: 41.3, lon: -85.1, ele: 200 },
  { lat: 41.301, lon: -85.1, ele: 204 },
  { lat: 41.302, lon: -85.101, ele: 215 },
];

/** As many faults as one file can have and still be read. */
const SLOPPY = `

<?xml version="1.0"?>
<?xml-stylesheet href="x.xsl"?>
<!-- made by hand -->
<GPX version="1.0" creator="Fish & Chips" xmlns:our="http://ours.example/1">
  <trk>
    <trkseg/>
    <trkseg><trkpt lon=" -85.1 " lat="+41.3"><our:rate>61</our:rate><ele> 200 </ele></trkpt>
      <!-- <trkpt lat="99" lon="999"/> -->
      stray words
      <trkpt lat="41,301" lon="-8.51e1"><time>yesterday</time><ele>204</ele><cmt>a &nbsp; b</cmt></trkpt>
      <extensions><trkpt lat="nowhere"/><name>not this</name></extensions>
      <trkpt lat="41.3020000" lon="-85.101"><name>x</name><ele><![CDATA[215]]></ele></trkpt></trkseg>
    <name>Mill &amp;amp; Weir</name>
  </trk>
  <wpt lat="41.3005" lon="-85.1"><type>tap</type><name><![CDATA[Fish & <Tap>]]></name></wpt>
  <bounds minlat="42" maxlat="41" minlon="-85" maxlon="-86"/>
  <metadata><bounds minlat="42" maxlat="41" minlon="1" maxlon="0"/></metadata>
</GPX>
trailing words </and> <!-- tags
`;

describe('files that are sloppy and readable', () => {
  it('reads one with all the usual faults', () => {
    expect(readable(SLOPPY)).toEqual({
      segments: [POINTS],
      waypoints: [{ lat: 41.3005, lon: -85.1, name: 'Fish &amp; <Tap>', symbol: '', type: 'tap' }],
      name: 'Mill &amp; Weir',
    });
  });

  it.each([
    [
      'another prefix',
      gpx(track())
        .replace(/<(\/?)(\w)/g, '<$1g:$2')
        .replace('xmlns=', 'xmlns:g='),
    ],
    ['no namespace', gpx(track()).replace(/ xmlns="[^"]*"/, '')],
    ['GPX 1.0', gpx(track()).replace('1.1', '1.0').replace('GPX/1/1', 'GPX/1/0')],
    ['carriage returns', gpx(track()).replaceAll('\n', '\r\n')],
    ['points without a segment', gpx(`<trk>${points(WAY)}</trk>`)],
    ['a route only', gpx(`<rte>${points(WAY, 'rtept')}</rte>`)],
    ['a route and an empty track', gpx(`<trk><trkseg/></trk><rte>${points(WAY, 'rtept')}</rte>`)],
    [
      'a route beside a track',
      gpx(
        `<rte>${points(
          [
            [1, 1],
            [2, 2],
          ],
          'rtept',
        )}</rte>${track()}`,
      ),
    ],
    ['a segment of one point beside', gpx(track([[1, 1]]) + track())],
    ['each point twice', gpx(track(WAY.flatMap((point) => [point, point])))],
  ])('%s', (_, text) => {
    expect(readable(text).segments).toEqual([POINTS]);
  });

  it('keeps tracks and segments apart', () => {
    const segment = `<trkseg>${points(WAY)}</trkseg>`;
    expect(readable(gpx(`<trk>${segment}${segment}</trk><trk>${segment}</trk>`)).segments).toEqual([POINTS, POINTS, POINTS]);
  });

  it('drops heights that are none, and nowhere on foot', () => {
    const heights = ['', 'NaN', 'high', -501, 9001, -500, 9000, 12.34];
    const way = readable(gpx(track(heights.map((ele, index) => [41 + index / 100, -85, ele]))));
    expect(way.segments.flat().map((point) => point.ele)).toEqual([null, null, null, null, null, -500, 9000, 12.3]);
  });

  it('keeps the height of a place said twice where only the second has one', () => {
    const way = readable(
      gpx(
        track([
          [41, -85],
          [41, -85, 7],
          [42, -85, 8],
        ]),
      ),
    );
    expect(way.segments).toEqual([
      [
        { lat: 41, lon: -85, ele: 7 },
        { lat: 42, lon: -85, ele: 8 },
      ],
    ]);
  });

  it('takes the meridian of 180 for -180, and no minus nought', () => {
    expect(
      readable(
        gpx(
          track([
            ['-0.00000001', 180],
            [0, -180],
            [1, 179.99999999],
          ]),
        ),
      ).segments,
    ).toEqual([
      [
        { lat: 0, lon: -180, ele: null },
        { lat: 1, lon: -180, ele: null },
      ],
    ]);
  });

  it('keeps no more of a name than a name needs', () => {
    const name = `<name>${'<![CDATA[a]]><!-- -->'.repeat(3000)}</name>`;
    expect(readable(gpx(name + track())).name).toBe('a'.repeat(1000));
  });

  it('takes the name of the file before that of its track', () => {
    const named = '<trk><name>Track</name>';
    expect(readable(gpx(track().replace('<trk>', named))).name).toBe('Track');
    expect(readable(gpx(`${track().replace('<trk>', named)}<metadata><name>File</name></metadata>`)).name).toBe('File');
    expect(readable(gpx(`<metadata><author><name>Nobody</name></author></metadata>${track()}`)).name).toBe('');
  });
});
