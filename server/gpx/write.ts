import type { Point } from '../calc/route.js';
import { publicName } from './names.js';
import type { PlacedWaypoint } from './waypoints.js';

const MOST_NAME = 120;

/**
 * The way as GPX 1.1 (elements in the order of the published schema, topografix.com/GPX/1/1/gpx.xsd): one track, the recognised places, the name
 * unless it tells a day or a clock. No times, nobody's extensions.
 */
export function writeGpx(way: { segments: Point[][]; waypoints: PlacedWaypoint[]; name: string }): string {
  const name = publicName(way.name, MOST_NAME);
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="Waymeet">',
    ...(name !== '' ? [`<metadata><name>${escaped(name)}</name></metadata>`] : []),
    ...way.waypoints.map(waypointElement),
    '<trk>',
    ...way.segments.map((segment) => `<trkseg>\n${segment.map(pointElement).join('\n')}\n</trkseg>`),
    '</trk>',
    '</gpx>\n',
  ].join('\n');
}

function pointElement({ lat, lon, ele }: Point): string {
  const height = ele === null ? '' : `<ele>${ele.toFixed(1)}</ele>`;
  return `<trkpt ${at(lat, lon)}>${height}</trkpt>`;
}

function waypointElement({ lat, lon, name, kinds }: PlacedWaypoint): string {
  const words = kinds.join(', ');
  return `<wpt ${at(lat, lon)}><name>${escaped(name || words)}</name><type>${words}</type></wpt>`;
}

function at(lat: number, lon: number): string {
  return `lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"`;
}

const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
/** Whatever the production Char of XML 1.0 does not allow. */
const FORBIDDEN = /[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu;

/** Text as XML 1.0 takes it. */
export function escaped(text: string): string {
  return text.replace(FORBIDDEN, '').replace(/[&<>"]/g, (character) => ESCAPES[character] ?? '');
}
