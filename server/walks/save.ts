import type { Tx } from '../db/open.js';
import { oweCancellation, oweChanges, owedPreview } from '../notices/owe.js';
import type { Services } from '../services.js';
import { fillFreedPlaces } from '../signups/places.js';
import { endOffersOn } from '../together/ends.js';
import { changedFacts, mayTell, mustTell } from './edit.js';
import type { WalkFacts } from './facts.js';
import type { WalkRow } from './ledby.js';
import { addWalk, changeWalk, factsOf, lastAdded, walkById } from './store.js';
import { assertMayBePosted } from './to-post.js';

/** What the notices need to know of the moment. */
export function oweContext(services: Services) {
  return { now: services.now(), settings: services.settings(), config: services.config };
}

const SAME_POST_MS = 10 * 60_000;

/** Adds a walk as a draft or posted; gives its number. The same form sent twice gives the walk it made first. */
export function saveNewWalk(services: Services, facts: WalkFacts, leaderId: number, state: 'draft' | 'posted'): number {
  const now = services.now();
  return services.db.write((tx) => {
    const twin = lastAdded(tx, leaderId, now - SAME_POST_MS).find(
      (walk) => walk.state === state && changedFacts(factsOf(walk), facts).length === 0,
    );
    return twin?.id ?? makeWalk(tx, services, facts, { leaderId, state });
  });
}

/** Adds a walk within a transaction: the one way by which a leader's new walk comes to be, posted or not, alone or with others of a series. */
export function makeWalk(
  tx: Tx,
  services: Services,
  facts: WalkFacts,
  made: { leaderId: number; state: 'draft' | 'posted'; seriesId?: number },
): number {
  if (made.state === 'posted') assertMayBePosted(facts);
  const uid = `${services.secret().slice(0, 22)}@${new URL(services.config.baseUrl).hostname}`;
  return addWalk(tx, facts, { ...made, uid, now: services.now() });
}

export interface Edit {
  walkId: number;
  /** The version the form was opened at. */
  opened: number;
  facts: WalkFacts;
  by: number;
  /** The leader ticked "tell them" for what need not be told. */
  tell: boolean;
  /** A draft becomes public. */
  post: boolean;
}

/** Saves an edit and owes its notices in one transaction; 'changed' where someone else saved meanwhile, and nothing is written. */
export function saveEdit(services: Services, edit: Edit): 'saved' | 'changed' {
  const outcome = services.db.write((tx) => {
    const walk = walkById(tx, edit.walkId);
    if (walk?.version !== edit.opened || walk.state === 'cancelled') return 'changed';
    applyEdit(tx, services, walk, edit, null);
    return 'saved';
  });
  services.mailOwed();
  return outcome;
}

/** Writes an edit of a walk as it stands, and what it owes, within a transaction. @param lot of walks edited together, else null */
export function applyEdit(
  tx: Tx,
  services: Services,
  walk: WalkRow,
  edit: Pick<Edit, 'facts' | 'by' | 'tell' | 'post'>,
  lot: string | null,
): void {
  const changed = changedFacts(factsOf(walk), edit.facts);
  if (changed.length === 0 && !edit.post) return;
  if (walk.state === 'posted' || edit.post) assertMayBePosted(edit.facts);
  const now = services.now();
  changeWalk(tx, walk, edit.facts, {
    kind: edit.post ? 'posted' : 'edited',
    by: edit.by,
    now,
    ...(edit.post ? { set: { state: 'posted', postedAt: now } } : {}),
  });
  if (walk.state !== 'posted') return;
  const offered = edit.tell && mayTell(changed);
  if (mustTell(changed) || offered) oweChanges(tx, oweContext(services), walk.id, { offered, lot });
  if (changed.includes('capacity')) fillFreedPlaces(tx, oweContext(services), walk.id);
}

/** Why a walk is cancelled. */
export interface Why {
  kind: 'safety' | 'other';
  reason: string;
}

/** Cancels a walk and owes each sign-up its notice; a second cancel changes nothing. */
export function cancelWalk(services: Services, walkId: number, by: number, why: Why): void {
  services.db.write((tx) => {
    const walk = walkById(tx, walkId);
    if (walk) applyCancel(tx, services, walk, { by, why, lot: null });
  });
  services.mailOwed();
}

/** The same within a transaction. @param cancel lot: of walks cancelled together, else null */
export function applyCancel(
  tx: Tx,
  services: Services,
  walk: WalkRow,
  { by, why, lot }: { by: number; why: Why; lot: string | null },
): void {
  if (walk.state !== 'posted' && walk.state !== 'draft') return;
  const now = services.now();
  const set: Partial<WalkRow> = { state: 'cancelled', cancelKind: why.kind, cancelReason: why.reason, cancelledAt: now };
  changeWalk(tx, walk, factsOf(walk), { kind: 'cancelled', by, now, set });
  if (walk.state === 'posted') oweCancellation(tx, oweContext(services), walk.id, lot);
  endOffersOn(tx, oweContext(services), walk);
}

/** Who an edit would be told to, and the exact difference: what the leader sees before saving. */
export function previewEdit(services: Services, walk: WalkRow, facts: WalkFacts) {
  const changed = changedFacts(factsOf(walk), facts);
  const preview = owedPreview(services.db.q, oweContext(services), walk, facts, { offered: true });
  return { changed, preview, mustTell: walk.state === 'posted' && mustTell(changed), mayTell: walk.state === 'posted' && mayTell(changed) };
}
