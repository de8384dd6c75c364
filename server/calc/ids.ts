export type Id = number | string;

/** An order that only the ids decide: numbers by size, then texts by their characters' codes, whatever the language. */
export function byId(a: { id: Id }, b: { id: Id }): number {
  if (typeof a.id !== typeof b.id) return typeof a.id === 'number' ? -1 : 1;
  if (a.id === b.id) return 0;
  return a.id < b.id ? -1 : 1;
}
