import { createHash } from 'node:crypto';

/** A format that was used stays: whatever was signed must render again byte for byte. 1: the waiver. 2: the leader's agreement. */
export function formatFor(signedAs: Documented['signedAs']): number {
  return signedAs === 'leader' ? 2 : 1;
}

/** Everything a signature's document says. */
export interface Documented {
  how: 'page' | 'paper' | 'file';
  text: { version: number; sha256: string; body: string };
  forName: string;
  signedAs: 'self' | 'guardian' | 'leader';
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
 * The signed waiver or leader's agreement as plain text: who signed what, for whom, as whom, when, and the text to the last character. The
 * same today and in ten years: no locale, no time zone, no address. Pure.
 * @throws where the format is not known, or is not the one for what was signed
 */
export function waiverDocument(signed: Documented, format: number = formatFor(signed.signedAs)): string {
  if (format !== formatFor(signed.signedAs)) throw new Error(`documents of format ${format} are not known for this signature`);
  const lines = [
    ...(format === 2 ? agreementHead(signed) : waiverHead(signed)),
    `Signature: ${signatureOf(signed)}`,
    `Signed at: ${new Date(signed.signedAt).toISOString()}`,
    ...(signed.signUpId === null ? [] : [`With sign-up: ${signed.signUpId}`]),
    ...(signed.how === 'page' ? [beside(signed)] : []),
    `Signing sentence: ${signed.intent}`,
    ...(signed.consent === '' ? [] : [`Consent: ${signed.consent}`]),
    `Text: version ${signed.text.version}, SHA-256 ${signed.text.sha256}`,
    '',
    signed.text.body,
    '',
  ];
  return lines.join('\n');
}

function waiverHead({ forName, signerName, signedAs }: Documented): string[] {
  return ['WAIVER', `For: ${forName}`, `Signed by: ${signerName}, ${signedAs === 'self' ? 'for themself' : 'as guardian'}`];
}

function agreementHead({ signerName }: Documented): string[] {
  return ["LEADER'S AGREEMENT", `Signed by: ${signerName}, who leads walks or has applied to`];
}

function signatureOf({ how, signature, seenBy }: Documented): string {
  if (how === 'page') return `typed, "${signature}"`;
  return how === 'paper' ? `on paper, seen by ${seenBy}` : `on file elsewhere, list brought by ${seenBy}`;
}

/** What shows whose hand typed it: the address, or on the day of a walk the leader whose screen it was. */
function beside({ proof, seenBy }: Documented): string {
  return seenBy === '' ? `Address: ${PROOFS[proof]}` : `Typed on the screen of ${seenBy}, who saw it, on the day of a walk`;
}

/** SHA-256 of a text in UTF-8, in hexadecimal. */
export function sha256(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}
