import type { Tx } from '../db/open.js';
import { oweLetter } from '../joining/owe.js';
import type { OweContext } from '../notices/compose.js';

interface Copy {
  waiverId: number;
  walk: { id: number; title: string };
  to: { name: string; email: string };
}

/** Owes whoever signed on the day, and left an address, a copy of what they signed. */
export function oweSignedCopy(tx: Tx, context: OweContext, { waiverId, walk, to }: Copy): void {
  const letter = {
    // About nobody but the one it goes to: it is erased with their address.
    about: 0,
    subject: `What you signed: ${walk.title}`,
    heading: 'A copy of what you signed',
    lines: [`You signed the waiver at the ${walk.title}. Did you not? Tell the group's coordinator.`],
    documentOf: waiverId,
    link: { href: '/', label: 'See the coming walks' },
  };
  oweLetter(tx, context, { kind: 'signed-copy', event: `signed-copy:${waiverId}`, letter, to });
}
