import type { walkOffers } from '../db/schema/index.js';
import type { WalkRow } from '../walks/ledby.js';

export type OfferRow = typeof walkOffers.$inferSelect;

/** The most characters of a note, and of the words of an answer. */
export const MOST_NOTE = 300;

/** Whether who leads a walk can still change: it is a draft or posted, and has not gathered. Pure. */
export function mayChangeLeaders(walk: Pick<WalkRow, 'state' | 'gatherAt'>, now: number): boolean {
  return (walk.state === 'draft' || walk.state === 'posted') && walk.gatherAt > now;
}

/**
 * How an offer stands for who was asked. `open`: it can be answered. `cancelled`, `begun`: of the walk. `stood down`: they lead no more.
 * `closed`: it ended without them, as where someone else took the walk.
 */
export type OfferStanding = 'open' | 'accepted' | 'declined' | 'withdrawn' | 'cancelled' | 'begun' | 'stood down' | 'closed';

/** Pure. @param approved whether who was asked is an approved leader @param now ms; at the instant of gathering it is too late */
export function offerStanding(
  offer: Pick<OfferRow, 'state'>,
  walk: Pick<WalkRow, 'state' | 'gatherAt'>,
  approved: boolean,
  now: number,
): OfferStanding {
  if (offer.state === 'accepted' || offer.state === 'declined' || offer.state === 'withdrawn') return offer.state;
  if (walk.state === 'cancelled') return 'cancelled';
  if (!mayChangeLeaders(walk, now)) return 'begun';
  if (!approved) return 'stood down';
  return offer.state;
}

/** A leader who may be asked, as far as choosing goes. */
export interface Candidate {
  personId: number;
  name: string;
  areaId: number;
  areaName: string;
  /** Their part in this walk; null where they have none. */
  part: 'leader' | 'co-leader' | null;
  /** Walks they lead or share in the walk's month. */
  walks: number;
  /** Other walks they lead or share on the walk's day. */
  busy: number;
  /** 1 where a walk that they led has set off, else 0. */
  hasLed: number;
  /** When their leader's agreement is due, ms: from then on they may post no new walk, and may take on one that is posted. */
  agreementDueAt: number;
}

/** Why a leader can't be asked for a part, a sentence; null where they can. Pure. @param by who asks */
export function offerFault(candidate: Candidate | undefined, kind: 'co-leader' | 'hand-over', by: number): string | null {
  if (!candidate) return 'Choose a leader from the list.';
  if (candidate.personId === by) return 'You cannot ask yourself. Choose another leader.';
  if (candidate.part === 'leader') return `${candidate.name} leads this walk already. Choose another leader.`;
  if (candidate.part === 'co-leader' && kind === 'co-leader') return `${candidate.name} shares this walk already. Choose another leader.`;
  return null;
}
