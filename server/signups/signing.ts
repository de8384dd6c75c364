import { isOwnName } from '../waivers/rules.js';
import { type Faults, type Typed, ticked } from '../web/forms.js';
import type { Member, SignUpFacts } from './form.js';

/** A signature from each person who has no waiver in force, in that person's own name, and one tick for the text they sign. */
export function checkWaivers(
  typed: Typed,
  address: string,
  members: Member[],
  facts: Pick<SignUpFacts, 'hasWaiver'>,
  faults: Faults,
): void {
  let owed = false;
  for (const [index, member] of members.entries()) {
    if (member.signature === '' && facts.hasWaiver(address, member.name)) continue;
    owed = true;
    const fault = signatureFault(member);
    if (fault !== null) faults[`members[${index}][signature]`] = fault;
  }
  if (owed && !ticked(typed, 'agreeWaiver')) faults.agreeWaiver = 'Read it and tick that each of you signs it.';
}

function signatureFault({ name, signature }: Member): string | null {
  // Someone with no name yet has that to mend first: there is nothing to compare with.
  if (name === '') return signature === '' ? 'Type the full name to sign the waiver.' : null;
  return isOwnName(name, signature) ? null : `Type your full name as above: ${name}.`;
}
