import { isOwnName, type Signing } from '../waivers/rules.js';
import { type Faults, type Typed, ticked } from '../web/forms.js';
import type { Member, SignUpFacts } from './form.js';

/** Who signs for a member by which address; null for a minor whose guardian is still to be chosen. Pure. @param booker the address of the sign-up */
export function signingOf(member: Member, members: Member[], booker: string): Signing | null {
  const signer = member.minor ? members[member.guardian ?? -1] : member;
  if (!signer) return null;
  const signedAs = member.minor ? 'guardian' : 'self';
  return { email: signer.email || booker, forName: member.name, signedAs, signerName: signer.name };
}

/** Whether a member's signature comes by the link of someone who is not there. Pure. */
export function signsElsewhere(member: Member, members: Member[]): boolean {
  const signer = member.minor ? members[member.guardian ?? -1] : member;
  return signer !== undefined && signer.email !== '';
}

/**
 * A signature from each person who is there and has no waiver in force, in that person's own name, and the guardian's for each minor;
 * and one tick for the text they sign.
 */
export function checkWaivers(
  typed: Typed,
  booker: string,
  members: Member[],
  facts: Pick<SignUpFacts, 'hasWaiver'> & { mayHaveSigned?: boolean },
  faults: Faults,
): void {
  let owed = false;
  for (const [index, member] of members.entries()) {
    const signing = signingOf(member, members, booker);
    if (!signing) continue;
    const field = `members[${index}][signature]`;
    if (signsElsewhere(member, members)) {
      if (member.signature !== '') faults[field] = `${signing.signerName || 'They'} signs by the link in their own mail: leave this empty.`;
      continue;
    }
    if (member.signature === '' && facts.hasWaiver(signing)) continue;
    owed = true;
    const fault = signatureFault(signing, member.signature);
    if (fault !== null) faults[field] = facts.mayHaveSigned && member.signature === '' ? `${fault} ${SIGNED_BEFORE}` : fault;
  }
  if (owed && !ticked(typed, 'agreeWaiver')) faults.agreeWaiver = 'Read it and tick that each of you signs it.';
}

const SIGNED_BEFORE = 'Signed already this season? Then leave it empty.';

/** What is wrong with a typed signature, as a sentence; null where it is the signer's own name. Pure. */
export function signatureFault({ signedAs, forName, signerName }: Signing, signature: string): string | null {
  // Someone with no name yet has that to mend first: there is nothing to compare with.
  if (signerName === '') return signature === '' ? 'Type the full name to sign the waiver.' : null;
  if (isOwnName(signerName, signature)) return null;
  if (signedAs === 'guardian') return `${signerName} signs for ${forName || 'the child'}: type ${signerName}.`;
  return `Type your full name as above: ${signerName}.`;
}
