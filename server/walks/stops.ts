/** What a stop offers, in the order shown. At a regroup everyone waits for the last. */
export const STOP_KINDS = ['toilets', 'water', 'shop', 'shelter', 'regroup'] as const;
export type StopKind = (typeof STOP_KINDS)[number];

/** A place on the way where the group halts, finds something, or may take a short way. */
export interface Stop {
  kinds: StopKind[];
  name: string;
  /** How far along the walk it is. */
  metres: number;
  /** The flat distance that takes as long as the way so far, by Tobler's function; null where the route has no heights. */
  effortMetres: number | null;
  /** How long the group stays. */
  minutes: number;
  /** A short way that leaves here: where along the walk it comes back (the finish, at the latest), and how long it makes the whole walk. */
  short: { rejoins: number; length: number } | null;
}
