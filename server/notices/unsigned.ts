import type { Tx } from '../db/open.js';
import { partiesOf, partyOf } from '../signups/party.js';
import type { OweContext, SignUpRow } from './compose.js';
import type { WalkContent } from './content.js';

type Part = Pick<WalkContent, 'unsigned'>;

/** Who in a party has yet to sign the waiver, as its reminder says it. */
export function unsignedPart(tx: Tx, context: OweContext, signUp: SignUpRow): Part {
  return part(partyOf(tx, signUp, context));
}

/** The same for everyone on a walk, by sign-up: few queries however many they are. */
export function unsignedParts(tx: Tx, context: OweContext, walkId: number): Map<number, Part> {
  return new Map(partiesOf(tx, walkId, context).map((party) => [party.id, part(party.members)]));
}

function part(members: { name: string; waiver: boolean }[]): Part {
  const unsigned = members.filter((member) => !member.waiver).map((member) => member.name);
  return unsigned.length === 0 ? {} : { unsigned };
}
