/** A name folded for comparison: the same person however they space or capitalise it. */
export function nameKey(name: string): string {
  return name.normalize('NFKC').toLocaleLowerCase('en').replace(/\s+/g, ' ').trim();
}

/** Whether what was typed as a signature is the signer's own name. Blanks, capitals and dots may differ, and apostrophes, which keyboards curl. */
export function isOwnName(name: string, signature: string): boolean {
  return signatureKey(signature) === signatureKey(name);
}

function signatureKey(name: string): string {
  return nameKey(name).replace(/[\s.'’]/g, '');
}
