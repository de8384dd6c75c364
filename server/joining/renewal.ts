const DAY_MS = 24 * 60 * 60 * 1000;

/** So long a leader may post before they have signed: whoever was brought in by a coordinator, and all who led before there was an agreement to sign. */
export const GRACE_MS = 30 * DAY_MS;
/** So long before it is due it may be signed anew without losing what is left. */
export const EARLY_MS = 60 * DAY_MS;
/** The first mail goes so long before it is due. */
export const MAILED_BEFORE_MS = 30 * DAY_MS;
/** After so long a mail about it is no news any more: a service that stood still does not send it. */
export const MAILED_UNTIL_MS = 30 * DAY_MS;

/** What counts of a leader's agreement: when it is due, ms, and when they signed last, ms; null where they never did. */
export interface Agreement {
  dueAt: number;
  signedAt: number | null;
}

/** The same day and hour so many months later, ms; the last day of the month where that has fewer. In UTC. Pure. */
export function monthsLater(at: number, months: number): number {
  const then = new Date(at);
  const day = then.getUTCDate();
  then.setUTCDate(1);
  then.setUTCMonth(then.getUTCMonth() + months);
  const lastDay = new Date(Date.UTC(then.getUTCFullYear(), then.getUTCMonth() + 1, 0)).getUTCDate();
  then.setUTCDate(Math.min(day, lastDay));
  return then.getTime();
}

/** Whether a leader may post new walks: until the very instant it is due. Pure. */
export function isPostingOpen({ dueAt }: Pick<Agreement, 'dueAt'>, now: number): boolean {
  return now < dueAt;
}

/** What a coordinator is shown of a leader's agreement without asking: that posting is closed, or that it is due within 30 days. Pure. */
export function agreementNeeds({ dueAt }: Pick<Agreement, 'dueAt'>, now: number): 'closed' | 'due' | null {
  if (!isPostingOpen({ dueAt }, now)) return 'closed';
  return dueAt - now <= MAILED_BEFORE_MS ? 'due' : null;
}

/** Whether a leader has reason to sign: never signed, due, or due within 60 days. Pure. */
export function maySignNow({ dueAt, signedAt }: Agreement, now: number): boolean {
  return signedAt === null || dueAt - now <= EARLY_MS;
}

/**
 * When an agreement that is signed now is due again, ms: so many months on. One that is renewed in its last 60 days counts from its own end,
 * so that nobody loses by being early; days given to someone who never signed are no such term. Pure.
 */
export function nextDue({ dueAt, signedAt }: Agreement, now: number, months: number): number {
  const renewsEarly = signedAt !== null && dueAt > now && dueAt - now <= EARLY_MS;
  return monthsLater(renewsEarly ? dueAt : now, months);
}

/** Whether a signature given before someone was a leader still holds. Pure. @param signedAt ms, null where there is none */
export function holdsFor(signedAt: number | null, now: number, months: number): boolean {
  return signedAt !== null && now < monthsLater(signedAt, months);
}
