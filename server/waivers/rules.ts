/** A name folded for comparison: the same person however they space or capitalise it. */
export function nameKey(name: string): string {
  return name.normalize('NFKC').toLocaleLowerCase('en').replace(/\s+/g, ' ').trim();
}
