import { openingsOf } from '../contacts/openings.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { isolated } from '../web/isolated.js';
import { when } from '../web/when.js';

/** Who opened the emergency details of some of a party, when and why, as a page shows it. */
export function openingsFor(services: Services, walk: WalkRow, members: { id: number; name: string }[]) {
  const asked = members.map((member) => ({ id: member.id, walkId: walk.id }));
  return openingsOf(services.db.q, asked).map((one) => ({
    ...one,
    name: isolated(members.find((member) => member.id === one.memberId)?.name ?? ''),
    at: when(one.at, walk.zone, services.settings()),
  }));
}
