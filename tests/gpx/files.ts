import type { GpxRead } from '../../server/gpx/gather.js';
import { readGpx } from '../../server/gpx/read.js';

export type PointOf = [lat: number | string, lon: number | string, ele?: number | string];

export function points(list: PointOf[], element = 'trkpt'): string {
  return list
    .map(([lat, lon, ele]) => `<${element} lat="${lat}" lon="${lon}">${ele === undefined ? '' : `<ele>${ele}</ele>`}</${element}>`)
    .join('\n');
}

/** A small way that is in order. */
export const WAY: PointOf[] = [
  [41.3, -85.1, 200],
  [41.301, -85.1, 204],
  [41.302, -85.101, 215],
];

export function track(list: PointOf[] = WAY): string {
  return `<trk><trkseg>${points(list)}</trkseg></trk>`;
}

/** A whole file around some elements. */
export function gpx(inner: string): string {
  return `<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="watch" xmlns="http://www.topografix.com/GPX/1/1">\n${inner}\n</gpx>`;
}

/** Points of a winding way, some ten metres apart, as a watch writes them. */
export function winding(count: number): string {
  const of = (index: number) => {
    const at = index / 400;
    const lat = (41.3 + 0.02 * at + 0.01 * Math.sin(at) + 0.00002 * Math.sin(index * 1.7)).toFixed(7);
    const lon = (-85.1 + 0.03 * Math.cos(at * 0.7) + 0.00002 * Math.cos(index * 2.3)).toFixed(7);
    const ele = (250 + 60 * Math.sin(at * 3) + Math.sin(index)).toFixed(1);
    return `<trkpt lat="${lat}" lon="${lon}"><ele>${ele}</ele><time>2026-05-01T09:00:00Z</time></trkpt>`;
  };
  return gpx(`<trk><trkseg>${Array.from({ length: count }, (_, index) => of(index)).join('\n')}</trkseg></trk>`);
}

export function read(text: string): GpxRead | { fault: string } {
  return readGpx(Buffer.from(text));
}

/** What is read of a file that has to be readable. */
export function readable(text: string): GpxRead {
  const result = read(text);
  if ('fault' in result) throw new Error(`refused: ${result.fault}`);
  return result;
}

/** The sentence of a file that has to be refused. */
export function faultOf(bytes: string | Uint8Array): string {
  const result = readGpx(typeof bytes === 'string' ? Buffer.from(bytes) : bytes);
  if (!('fault' in result)) throw new Error('the file was read');
  return result.fault;
}

/** Text in UTF-16, of either byte order. */
export function utf16(text: string, order: 'LE' | 'BE', mark: boolean): Buffer {
  const bytes = Buffer.from(`${mark ? '\ufeff' : ''}${text}`, 'utf16le');
  return order === 'LE' ? bytes : bytes.swap16();
}
