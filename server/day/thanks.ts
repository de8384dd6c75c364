/** What thanks for having walked say: frozen as they are owed. Names are looked up as the mail is made, so that none stays in it of anyone erased. */
export interface ThanksContent {
  walkId: number;
  version: number;
  title: string;
  /** Whose miles these are, by `who`: everyone who is reached at the address. */
  people: { who: string; metres: number }[];
  /** The next walks nearby, as they stood. */
  next: { walkId: number; title: string; gatherAt: number; zone: string }[];
}

const DAY_MS = 24 * 60 * 60 * 1000;
/** A walk that is closed later than this after its set-off thanks nobody any more. Common practice, no source. */
const THANKED_WITHIN_MS = 14 * DAY_MS;

/** Whether a close comes in time for thanks. Pure. @param now ms */
export function isInTime({ setOffAt }: { setOffAt: number }, now: number): boolean {
  return now < setOffAt + THANKED_WITHIN_MS;
}

/** What is walked, by the address that is thanked for it, in the order of `walked`. Pure. */
export function byAddress<One extends { email: string }>(walked: readonly One[]): Map<string, [One, ...One[]]> {
  const found = new Map<string, [One, ...One[]]>();
  for (const one of walked) {
    const known = found.get(one.email);
    if (known) known.push(one);
    else found.set(one.email, [one]);
  }
  return found;
}
