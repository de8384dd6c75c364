import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { oweNewLeader } from '../notices/owe-leader.js';
import type { WalkRow } from '../walks/ledby.js';
import { changeWalk, factsOf } from '../walks/store.js';
import { dropUnheard, named, oweLeading, oweOfferEnded } from './owe.js';
import { endOffer, openOffersOn, type Partner, partsOf, replaceLeader } from './store.js';

interface HandOver {
  /** Who leads from now on, by number: an approved leader. */
  to: number;
  /** Who did it: the one who accepted, or the coordinator. */
  by: number;
  /** Who arranged it, and so knows: the old leader is told where it was another. */
  arranged: number;
  /** The old leader shares the walk from now on, where they are still approved. */
  stays: boolean;
}

/**
 * Gives a walk to another leader: the parts, a new version, what walkers are owed, and the offers that end by it. All of it in the
 * transaction it is given, so that no walk is ever seen without its leader. Nothing happens where they lead it already.
 */
export function handOver(tx: Tx, context: OweContext, walk: WalkRow, { to, by, arranged, stays }: HandOver): void {
  const [before] = partsOf(tx, walk.id);
  if (!before || before.personId === to) return;
  replaceLeader(tx, walk.id, { personId: before.personId, stays: stays && before.approved }, to);
  const handed = changeWalk(tx, walk, factsOf(walk), { kind: 'handed over', by, now: context.now });
  if (walk.state === 'posted') oweNewLeader(tx, context, walk.id, before);
  writeDown(tx, { at: context.now, personId: by, action: 'gave a walk a new leader', subject: `walk:${walk.id}` });
  closeOthers(tx, context, handed, to);
  if (before.personId !== arranged) tellBefore(tx, context, handed, before, partsOf(tx, walk.id)[0]);
}

/** Who else was asked to lead it need not answer any more, nor who leads it now whether they would share it. */
function closeOthers(tx: Tx, context: OweContext, walk: WalkRow, leader: number): void {
  for (const open of openOffersOn(tx, walk.id)) {
    const isTheirs = open.to.personId === leader;
    if (open.offer.kind === 'co-leader' && !isTheirs) continue;
    endOffer(tx, open.offer.id, { state: 'closed', now: context.now });
    if (isTheirs) dropUnheard(tx, open.offer.id);
    else oweOfferEnded(tx, context, walk, { ...open, news: 'taken' });
  }
}

function tellBefore(tx: Tx, context: OweContext, walk: WalkRow, before: Partner, leader: Partner | undefined): void {
  if (!leader || !before.approved) return;
  const said = { news: 'handed on', kind: 'hand-over', by: named(leader), to: named(before), note: '' } as const;
  oweLeading(tx, context, walk, { event: `handed-on:${walk.id}:${walk.version}`, to: before.personId, said });
}
