/** A round of some 8 km on a hill of 100 m, as a watch writes it: 200 points, with times, toilets a third of the way and a shop two thirds. */
export function roundGpx(changed: { name?: string; lat?: number; high?: number; wide?: number } = {}): Buffer {
  const at = (part: number) => {
    const turn = part * 2 * Math.PI;
    return `lat="${((changed.lat ?? 41.3) + 0.0114 * (changed.wide ?? 1) * Math.sin(turn)).toFixed(6)}" lon="${(-85.1 + 0.0152 * (changed.wide ?? 1) * (Math.cos(turn) - 1)).toFixed(6)}"`;
  };
  const points = Array.from({ length: 200 }, (_, index) => {
    const part = index / 199;
    return `<trkpt ${at(part)}><ele>${(200 + ((changed.high ?? 100) / 2) * (1 - Math.cos(part * 2 * Math.PI))).toFixed(1)}</ele><time>2026-05-01T09:00:00Z</time></trkpt>`;
  });
  return Buffer.from(`<?xml version="1.0"?>
<gpx version="1.1" creator="watch" xmlns="http://www.topografix.com/GPX/1/1">
<wpt ${at(1 / 3)}><name>Lower lock</name><sym>Restroom</sym></wpt>
<wpt ${at(2 / 3)}><name>Kiln Lane shop</name><type>shop</type></wpt>
<trk><name>${changed.name ?? 'Round'}</name><trkseg>${points.join('\n')}</trkseg></trk></gpx>`);
}
