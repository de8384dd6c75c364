import { describe, expect, it } from 'vitest';
import { faultOf, gpx, points, track, WAY } from './files.js';

describe('files that are refused, each with a sentence that says what to do', () => {
  it.each([
    ['nothing', '', /^This file is empty\. Choose/],
    ['blanks', ' \n\t', /^This file is empty\./],
    ['JSON', '{"type":"FeatureCollection"}', /^This is no GPX file\. Export it again as GPX 1\.1\.$/],
    ['a web page', '<!DOCTYPE html><html><head><title>x</title><body>hi', /^This is a web page/],
    ['a web page without doctype', '<html><body>hi</body></html>', /^This is a web page/],
    ['KML', '<?xml version="1.0"?><kml><Document/></kml>', /^This file is KML, not GPX\. Export/],
    ['other XML', '<note><to/></note>', /^This is no GPX file/],
    ['an element that objects have', '<constructor/>', /^This is no GPX file/],
    ['only a comment', '<!-- gpx -->', /^This file breaks off at line 1/],
    ['broken before the root', '<<<>>>', /^This is no GPX file/],
    ['a DOCTYPE', `<!DOCTYPE gpx SYSTEM "http://x.example/gpx.dtd">${gpx(track()).slice(39)}`, /^This file has a DOCTYPE/],
    ['a DOCTYPE after a comment', '<!-- <a> --><!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>', /^This file has a DOCTYPE/],
    ['a DOCTYPE within', '<gpx><!DOCTYPE gpx></gpx>', /^This file can't be understood at line 1/],
    ['an entity declaration within', '<gpx><!ENTITY a "b"></gpx>', /^This file can't be understood at line 1/],
    ['no tracks', gpx(''), /^This file has no track and no route\./],
    ['empty segments', gpx('<trk><trkseg/><trkseg></trkseg></trk>'), /^This file has no track and no route\./],
    ['waypoints only', gpx('<wpt lat="1" lon="2"><name>Tap</name></wpt>'), /only single places \(waypoints\)/],
    ['one point', gpx(track([[41, -85]])), /fewer than two different points/],
    [
      'one place again and again',
      gpx(
        track([
          [41, -85],
          [41, -85],
          [41.00000000001, -85],
        ]),
      ),
      /fewer than two different points/,
    ],
    ['points each alone', gpx(track([[41, -85]]) + track([[42, -85]])), /fewer than two different points/],
    [
      'no latitude',
      gpx('<trk><trkseg>\n<trkpt lon="2"/></trkseg></trk>'),
      /^Line 4 has a point whose latitude is missing, or no number from -90 to 90\./,
    ],
    ['no longitude', gpx('<trk><trkseg><trkpt lat="2"/></trkseg></trk>'), /^Line 3 has a point whose longitude/],
    ['a latitude NaN', gpx(track([['NaN', 1]])), /latitude/],
    ['an empty latitude', gpx(track([['', 1]])), /latitude/],
    ['a latitude in hexadecimal', gpx(track([['0x10', 1]])), /latitude/],
    ['an infinite longitude', gpx(track([[1, 'Infinity']])), /longitude/],
    ['a latitude beyond 90', gpx(track([[90.0000001, 1]])), /latitude/],
    ['a latitude beyond -90', gpx(track([[-90.1, 1]])), /latitude/],
    ['a longitude beyond 180', gpx(track([[1, 180.0001]])), /longitude/],
    ['a longitude beyond -180', gpx(track([[1, -181]])), /longitude/],
    ['a huge exponent', gpx(track([['1e999', 1]])), /latitude/],
    ['a bad route point', gpx(`<rte>${points([['x', 1]], 'rtept')}</rte>`), /latitude/],
    ['a bad waypoint', gpx(`${points([[91, 1]], 'wpt')}${track()}`), /latitude/],
    ['what breaks off', gpx(track()).slice(0, -60), /^This file breaks off at line 5: its end is missing\. Export/],
    ['what breaks off in a tag', '<gpx>\n\n<trk', /^This file breaks off at line 3/],
    ['crossed tags', gpx('<trk>\n<trkseg></trk></trkseg>'), /^This file can't be understood at line 4\. Export/],
    ['an attribute without quotes', gpx('<trk><trkseg><trkpt lat=1 lon=2/></trkseg></trk>'), /can't be understood at line 3/],
    ['more attributes than any', `<gpx ${Array.from({ length: 201 }, (_, i) => `a${i}=""`).join(' ')}/>`, /more attributes/],
    ['33 elements deep', gpx('<a>'.repeat(32) + '</a>'.repeat(32)), /^Line 3 is more than 32 elements deep/],
  ])('%s', (_, text, sentence) => {
    expect(faultOf(text)).toMatch(sentence);
  });

  it('takes 32 elements deep, the poles and the meridian', () => {
    const deep = '<a>'.repeat(31) + '</a>'.repeat(31);
    expect(() => faultOf(gpx(deep + track(WAY)))).toThrow('was read');
    expect(() =>
      faultOf(
        gpx(
          track([
            [90, -180],
            [-90, 180],
          ]),
        ),
      ),
    ).toThrow('was read');
  });

  it('takes 100,000 points and not one more', () => {
    const list = Array.from({ length: 100_000 }, (_, index): [number, number] => [10 + index / 1e5, 5]);
    expect(() => faultOf(gpx(track(list)))).toThrow('was read');
    expect(faultOf(gpx(track([...list, [1, 1]])))).toBe(
      'This file has more than 100,000 points. Export the route with fewer points, or only this one route.',
    );
    expect(faultOf(gpx(`<rte>${points([...list, [1, 1]], 'rtept')}</rte>`))).toMatch(/more than 100,000 points/);
    expect(faultOf(gpx(points([...list, [1, 1]], 'wpt')))).toMatch(/more than 100,000 points/);
  });
});
