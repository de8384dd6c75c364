/** One cell of the board: walks posted against walks wanted. */
export interface Cell {
  met: number;
  needed: number;
  fill: 'full' | 'part' | 'none';
}

/** Met and needed for a month: never more met than needed, so that one month's plenty does not hide another's want. */
export function cell(walks: number, floor: number): Cell {
  const met = Math.min(walks, floor);
  return { met, needed: floor, fill: met >= floor ? 'full' : met === 0 ? 'none' : 'part' };
}
