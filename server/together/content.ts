/** What an offer asks for: to share a walk, or to lead it instead. */
export type OfferKind = 'co-leader' | 'hand-over';

/**
 * What a mail between leaders is about.
 * - asked: an offer. accepted, declined: its answer
 * - withdrawn, taken, cancelled: to who was asked, of an offer that ended without them
 * - left: to who asked; the one they asked leads no more
 * - handed on, shared: to the leader, of what another than them arranged
 * - made leader, removed: to whom a coordinator or the leader did so. stepped back: to the leader, by a co-leader
 */
export type TogetherNews =
  | 'asked'
  | 'accepted'
  | 'declined'
  | 'withdrawn'
  | 'taken'
  | 'cancelled'
  | 'left'
  | 'handed on'
  | 'shared'
  | 'made leader'
  | 'removed'
  | 'stepped back';

/** Someone named in such a mail; by the number they are found when they are erased. */
export interface Named {
  personId: number;
  name: string;
}

/** What a mail between leaders says, frozen. No secrets: the private link is put in as the mail is made. */
export interface TogetherContent {
  walkId: number;
  version: number;
  title: string;
  /** ms */
  gatherAt: number;
  zone: string;
  place: string;
  news: TogetherNews;
  kind: OfferKind;
  /** Who asks, or does it. */
  by: Named;
  /** Who was asked, or whom it is done to. */
  to: Named;
  /** What one of them typed. */
  note: string;
  /** asked: the offer, from which its private link is worked out */
  offer?: { id: number; madeAt: number };
}
