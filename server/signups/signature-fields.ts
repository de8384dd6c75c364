import type { Signing } from '../waivers/rules.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { isolated } from '../web/isolated.js';
import type { How } from './form-page.js';

interface Party {
  headings: string[];
  /** The address that the party is booked with. */
  booker: string;
}

/** The fields under the waiver: one for each signature that is needed and can be given here, and whose come by mail. */
export function signatureFields(shown: Typed[], party: Party, faults: Faults, how: How) {
  const rows = shown.map((member, index) => signatureRow(member, index, shown, party, faults));
  const owed = rows.filter((row) => row.error || !(row.signing && how.signed?.(row.signing)));
  return {
    /** Those who have no waiver in force: the text is shown, and a field for each to sign. */
    signers: owed.filter((row) => row.error || !row.elsewhere),
    /** Those who sign by a link in their own mail. */
    elsewhere: owed
      .filter((row) => row.elsewhere && !row.error)
      .map((row) => row.heading)
      .join(', '),
    /** Any of them may have signed before: who has is not told to whoever types a name. */
    maybeSigned: how.signed === undefined,
  };
}

function signatureRow(member: Typed, index: number, shown: Typed[], { headings, booker }: Party, faults: Faults) {
  const minor = ticked(member, 'minor');
  const adults = shown.flatMap((one, place) => (ticked(one, 'minor') ? [] : [String(place)]));
  const guardian = line(member, 'guardian') || (adults.length === 1 ? (adults[0] ?? '') : '');
  const place = minor ? Number(guardian || Number.NaN) : index;
  const signer = shown[place];
  const heading = headings[index] ?? '';
  const signerName = headings[place] ?? '';
  const email = signer ? line(signer, 'email') : '';
  const signedAs: Signing['signedAs'] = minor ? 'guardian' : 'self';
  return {
    id: `members-${index}-signature`,
    name: `members[${index}][signature]`,
    value: line(member, 'signature'),
    error: faults[`members[${index}][signature]`],
    heading,
    elsewhere: email !== '',
    signing: signer ? { email: email || booker, forName: heading, signedAs, signerName } : null,
    label: minor
      ? `${isolated(signerName) || 'The guardian'} signs for ${isolated(heading)}, under 18: type ${signerName ? `${isolated(signerName)}'s` : "the guardian's"} full name`
      : `${isolated(heading)} signs: type the full name`,
    autocomplete: `section-walker-${index + 1}-signature name`,
  };
}
