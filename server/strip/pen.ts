/** A place on the drawing to a tenth of its unit: finer is not seen, and every figure costs bytes. */
export function tenth(units: number): number {
  return Math.round(units * 10) / 10;
}

/** Words and where they begin (or end, in a column that is set to the right). */
export interface Written {
  x: number;
  y: number;
  words: string;
}

/** A mark by its name in the drawing's list of shapes, and its middle. */
export interface Placed {
  mark: string;
  x: number;
  y: number;
}
