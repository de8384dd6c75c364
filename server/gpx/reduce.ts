import { distance } from '../calc/geodesy.js';
import { simplify } from '../calc/line.js';
import type { Point } from '../calc/route.js';
import type { LineVertex } from './measured.js';

const FIRST_TOLERANCE_METRES = 5;
const MOST_VERTICES = 400;
/** What rounding a vertex to 6 decimals may move it. */
const ROUNDING_METRES = 0.1;

interface Piece {
  points: Point[];
  alongs: number[];
}

/**
 * The way reduced for drawing to 400 vertices at most (Douglas-Peucker), with the smallest tolerance, from 5 m on doubling, that does it: no point
 * of the way is further than `errorMetres` from the line. A gap no wider than that is drawn closed, so that a way of very many pieces ends, too.
 */
export function reducedLine(segments: Point[][], alongs: number[][]): { line: LineVertex[][]; errorMetres: number } {
  const whole = segments.map((points, index) => ({ points, alongs: alongs[index] ?? [] }));
  for (let errorMetres = FIRST_TOLERANCE_METRES; ; errorMetres *= 2) {
    const pieces = closed(whole, errorMetres);
    if (pieces.length * 2 > MOST_VERTICES) continue;
    const line = pieces.map((piece) => vertices(piece, simplify(piece.points, errorMetres - ROUNDING_METRES)));
    if (line.reduce((sum, piece) => sum + piece.length, 0) <= MOST_VERTICES) return { line, errorMetres };
  }
}

/** The pieces, those whose gap is no wider than `metres` as one. */
function closed(pieces: Piece[], metres: number): Piece[] {
  const joined: Piece[] = [];
  for (const piece of pieces) {
    const last = joined.at(-1);
    const [end, start] = [last?.points.at(-1), piece.points[0]];
    if (last && end && start && distance(end.lat, end.lon, start.lat, start.lon) <= metres) {
      for (const point of piece.points) last.points.push(point);
      for (const along of piece.alongs) last.alongs.push(along);
    } else joined.push({ points: [...piece.points], alongs: [...piece.alongs] });
  }
  return joined;
}

function vertices({ points, alongs }: Piece, kept: number[]): LineVertex[] {
  const rounded = (degrees: number) => Math.round(degrees * 1e6) / 1e6;
  return kept.flatMap((index) => {
    const [point, along] = [points[index], alongs[index]];
    return point && along !== undefined ? [[rounded(point.lat), rounded(point.lon), Math.round(along)] satisfies LineVertex] : [];
  });
}
