import { windowState } from '../contacts/window.js';
import type { Services } from '../services.js';
import type { partiesOf } from '../signups/party.js';
import type { WalkRow } from '../walks/ledby.js';
import { type changesSince, factsOf } from '../walks/store.js';
import { forecastOf } from '../weather/store.js';
import { when } from '../web/when.js';
import { ALL_PARTS, PARTS, type Part } from './pack.js';
import { sinceMade, stillHeld } from './pack-since.js';
import { contactsGivenSince, listDigest, listOf, packsOf } from './pack-store.js';

/** So many packs are spoken of, the newest first. */
const MOST_LINES = 3;

/** What the page has read of a walk already. */
interface Read {
  parties: ReturnType<typeof partiesOf>;
  /** All of them, oldest first. */
  versions: ReturnType<typeof changesSince>;
}

/**
 * What the leader's page says of the packs that were made: when, at which change, and what changed since. Null where there is nothing to
 * say. One query where none was made, four where some were.
 */
export function packLines({ db, settings, sealer, now }: Services, walk: WalkRow, { parties, versions }: Read) {
  if (walk.state !== 'posted' || windowState(walk, settings(), now()) === 'after') return null;
  const held = stillHeld(packsOf(db.q, walk.id)).slice(0, MOST_LINES);
  const first = held.at(-1)?.pack;
  if (!first) return null;
  const state = {
    ...listDigest(sealer, listOf(db.q, walk.id, parties)),
    facts: factsOf(walk),
    factsAt: (version: number) => versions.find((one) => one.version === version)?.facts,
    leadersAt: versions.findLast((version) => version.kind === 'handed over')?.at ?? null,
    forecastAt: forecastOf(db.q, walk.id, walk.wallDate)?.at ?? null,
    contactsAt: contactsGivenSince(db.q, walk.id, first.at),
  };
  return held.map(({ pack, parts }) => {
    const since = sinceMade(pack, parts, state);
    return {
      at: when(pack.at, walk.zone, settings()),
      version: pack.version,
      parts: parts.length === ALL_PARTS.length ? null : partWords(parts),
      since: since.join(', '),
    };
  });
}

function partWords(parts: Part[]): string {
  return parts.map((part) => PARTS[part].title).join(', ');
}
