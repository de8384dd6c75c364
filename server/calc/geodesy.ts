import geographiclib from 'geographiclib-geodesic';

const { Geodesic } = geographiclib;
const { WGS84 } = Geodesic;

/** WGS84 (NIMA TR8350.2): the equatorial radius in metres, and the square of the first eccentricity. */
const EQUATORIAL_RADIUS_METRES = 6_378_137;
const ECCENTRICITY_SQUARED = 0.00669437999014;
const RADIANS_PER_DEGREE = Math.PI / 180;

/**
 * Metres between two places on the WGS84 ellipsoid, to well under a millimetre. Degrees.
 * Source: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87 (2013).
 */
export function distance(lat1: number, lon1: number, lat2: number, lon2: number): number {
  return WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.DISTANCE).s12 ?? 0;
}

/** Degrees from north, 0 to under 360, in which the shortest way to the second place leaves the first. Source: as `distance`. */
export function bearing(lat1: number, lon1: number, lat2: number, lon2: number): number {
  return fromNorth(WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.AZIMUTH).azi1 ?? 0);
}

/** An angle as degrees from north, 0 to under 360. */
export function fromNorth(degrees: number): number {
  return ((degrees % 360) + 360) % 360;
}

/**
 * Metres that a degree of latitude and a degree of longitude measure at a latitude: enough for places a few hundred metres apart.
 * Source: the radii of curvature of the ellipsoid in the meridian and in the prime vertical (J. P. Snyder, Map Projections, 1987, 4-18 and 4-20).
 */
export function metresPerDegree(lat: number): { lat: number; lon: number } {
  const sine = Math.sin(lat * RADIANS_PER_DEGREE);
  const flattening = 1 - ECCENTRICITY_SQUARED * sine * sine;
  const primeVertical = EQUATORIAL_RADIUS_METRES / Math.sqrt(flattening);
  const meridian = (primeVertical * (1 - ECCENTRICITY_SQUARED)) / flattening;
  return {
    lat: meridian * RADIANS_PER_DEGREE,
    lon: primeVertical * Math.cos(lat * RADIANS_PER_DEGREE) * RADIANS_PER_DEGREE,
  };
}

/** Within these a step is as good as flat: degrees of its own length, and of latitude. */
const FLAT_STEP = { degrees: 0.002, mostLatitude: 85 } as const;

/**
 * The same as `distance` to a hundred millionth part, and many times as fast for the steps of a track: up to some 200 m on the plane of
 * the ellipsoid's two radii of curvature half-way, beyond that, and near the poles, by `distance`.
 */
export function step(lat1: number, lon1: number, lat2: number, lon2: number): number {
  const [north, east] = [lat2 - lat1, eastward(lon1, lon2)];
  const isFlat =
    Math.abs(north) <= FLAT_STEP.degrees &&
    Math.abs(east) <= FLAT_STEP.degrees &&
    Math.max(Math.abs(lat1), Math.abs(lat2)) <= FLAT_STEP.mostLatitude;
  if (!isFlat) return distance(lat1, lon1, lat2, lon2);
  const degree = metresPerDegree((lat1 + lat2) / 2);
  return Math.hypot(north * degree.lat, east * degree.lon);
}

/** The nearer way round from one longitude to another: degrees from −180 to under 180. */
export function eastward(lon1: number, lon2: number): number {
  const degrees = lon2 - lon1;
  return degrees >= -180 && degrees < 180 ? degrees : fromNorth(degrees + 180) - 180;
}
