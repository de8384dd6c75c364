import { windowState } from '../contacts/window.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { changesSince, factsAt, factsOf } from '../walks/store.js';
import { forecastOf } from '../weather/store.js';
import { when } from '../web/when.js';
import { ALL_PARTS, PARTS, type Part } from './pack.js';
import { sinceMade, stillHeld } from './pack-since.js';
import { contactsGivenSince, listDigest, packList, packsOf } from './pack-store.js';

/** So many versions of a walk are looked up: what was printed at more is all warned of by the oldest of them. */
const MOST_LINES = 3;

/** What the leader's page says of the packs that were made: when, at which change, and what changed since. Null where there is nothing to say. */
export function packLines({ db, settings, sealer, now }: Services, walk: WalkRow) {
  if (walk.state !== 'posted' || windowState(walk, settings(), now()) === 'after') return null;
  const held = stillHeld(packsOf(db.q, walk.id)).slice(0, MOST_LINES);
  const first = held.at(-1)?.pack;
  if (!first) return null;
  const changes = changesSince(db.q, walk.id, first.version);
  const state = {
    ...listDigest(sealer, packList(db.q, walk.id, { now: now(), settings: settings() })),
    facts: factsOf(walk),
    factsAt: (version: number) => (version === walk.version ? factsOf(walk) : factsAt(db.q, walk.id, version)),
    leadersAt: changes.findLast((change) => change.kind === 'handed over')?.at ?? null,
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
