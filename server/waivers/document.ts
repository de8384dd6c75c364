import { createHash } from 'node:crypto';

/** A format that was used stays: whatever was signed must render again byte for byte. */
export const FORMAT = 1;

/** Everything a signature's document says. */
export interface Documented {
  how: 'page' | 'paper' | 'file';
  text: { version: number; sha256: string; body: string };
  forName: string;
  signedAs: 'self' | 'guardian';
  signerName: string;
  signature: string;
  intent: string;
  consent: string;
  proof: 'none' | 'link' | 'signed in';
  seenBy: string;
  signedAt: number;
  signUpId: number | null;
}

/** About the address and the page, not about the signer: whoever booked signs beside others with one address. */
const PROOFS = {
  none: "given with it, not shown at that time to be in the signer's hands",
  link: 'given with it, and a link mailed to it had led to this page',
  'signed in': 'given with it, and this page was signed in with it',
};

/**
 * The signed waiver as plain text: who signed what, for whom, as whom, when, and the text to the last character. The same today and
 * in ten years: no locale, no time zone, no address. Pure.
 * @throws where the format is not known
 */
export function waiverDocument(signed: Documented, format: number = FORMAT): string {
  if (format !== FORMAT) throw new Error(`waiver documents of format ${format} are not known`);
  const lines = [
    'WAIVER',
    `For: ${signed.forName}`,
    `Signed by: ${signed.signerName}, ${signed.signedAs === 'self' ? 'for themself' : 'as guardian'}`,
    `Signature: ${signatureOf(signed)}`,
    `Signed at: ${new Date(signed.signedAt).toISOString()}`,
    ...(signed.signUpId === null ? [] : [`With sign-up: ${signed.signUpId}`]),
    ...(signed.how === 'page' ? [`Address: ${PROOFS[signed.proof]}`] : []),
    `Signing sentence: ${signed.intent}`,
    ...(signed.consent === '' ? [] : [`Consent: ${signed.consent}`]),
    `Text: version ${signed.text.version}, SHA-256 ${signed.text.sha256}`,
    '',
    signed.text.body,
    '',
  ];
  return lines.join('\n');
}

function signatureOf({ how, signature, seenBy }: Documented): string {
  if (how === 'page') return `typed, "${signature}"`;
  return how === 'paper' ? `on paper, seen by ${seenBy}` : `on file elsewhere, list brought by ${seenBy}`;
}

/** SHA-256 of a text in UTF-8, in hexadecimal. */
export function sha256(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}
