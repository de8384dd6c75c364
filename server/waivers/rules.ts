/** A name folded for comparison: the same person however they space or capitalise it. */
export function nameKey(name: string): string {
  return name.normalize('NFKC').toLocaleLowerCase('en').replace(/\s+/g, ' ').trim();
}

/** Whether what was typed as a signature is the signer's own name. Blanks, capitals and dots may differ, and apostrophes and dashes, which keyboards change. */
export function isOwnName(name: string, signature: string): boolean {
  return signatureKey(signature) === signatureKey(name);
}

function signatureKey(name: string): string {
  return nameKey(name).replace(/[\s.'’\p{Pd}]/gu, '');
}

/** Who must have signed for whom. */
export interface Signing {
  /** The signer's address. */
  email: string;
  forName: string;
  signedAs: 'self' | 'guardian';
  signerName: string;
  /**
   * The signer has an address of their own in someone else's party: what anybody could type with it is not enough. Until they acted on
   * the link of that party, only what was signed with it counts: the booker is not to learn what they signed elsewhere.
   */
  ownAddress?: 'asked' | 'acted';
}

/** A signature of the text in force, as far as telling whether it still holds needs it. */
export interface Signed {
  email: string;
  forKey: string;
  signedAs: 'self' | 'guardian' | 'leader';
  signerKey: string;
  signedAt: number;
  signUpId: number | null;
  /** Nothing showed that the address is in the hands of whoever typed it. */
  unproved: boolean;
}

/**
 * Whether someone's signature is among those of the text in force and has not run out: it holds until the season ends, and for the
 * walk it was signed with whatever happens. A guardian's holds for as long as that guardian is the one. Pure.
 * @param at `began`: since when this season runs, ms; null where none was over yet
 */
export function holds(signed: Signed[], signing: Signing, at: { began: number | null; signUpId?: number | null }): boolean {
  const [forKey, signerKey] = [nameKey(signing.forName), nameKey(signing.signerName)];
  return signed.some(
    (one) =>
      one.email === signing.email &&
      one.forKey === forKey &&
      one.signedAs === signing.signedAs &&
      one.signerKey === signerKey &&
      !(signing.ownAddress && one.unproved) &&
      (isOfSignUp(one, at) || (signing.ownAddress !== 'asked' && (at.began === null || one.signedAt >= at.began))),
  );
}

function isOfSignUp(signed: Signed, { signUpId }: { signUpId?: number | null }): boolean {
  return signed.signUpId !== null && signed.signUpId === signUpId;
}
