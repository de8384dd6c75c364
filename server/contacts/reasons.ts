/** Why a leader opens emergency details, in plain words: what they choose from. */
export const REASONS = {
  hurt: 'someone is hurt or ill',
  missing: 'someone is missing',
  checking: 'checking the list before the walk',
  other: 'another reason',
} as const;

export type Reason = keyof typeof REASONS;

/** Every reason that the log keeps, as the walkers read it. */
const KEPT = { ...REASONS, sheet: 'sign-in sheet', emergency: 'an emergency on the walk', incident: 'something happened' } as const;

export type KeptReason = keyof typeof KEPT;

/** What the log keeps of why: the listed reason, and apart from it the words somebody typed, null where there are none. */
export interface Why {
  reason: KeptReason;
  why: string | null;
}

/** Reasons that say nothing by themselves: the words stand in their place. */
const SAID_BY_WORDS: string[] = ['other', 'incident'];

/**
 * Why someone's details were opened, as they may read it. Words that were typed may be about any of those opened together, so they are
 * shown only to someone opened alone. Pure.
 * @param kept a row from before reasons and words were kept apart has no `reason`, and both in `why`
 */
export function whyWords({ reason, why }: { reason: string | null; why: string | null }, alone: boolean): string {
  if (reason === null) return alone && why !== null ? why : (listedIn(why ?? '') ?? KEPT.other);
  const label = isKept(reason) ? KEPT[reason] : KEPT.other;
  if (!alone || why === null) return label;
  return SAID_BY_WORDS.includes(reason) ? why : `${label}: ${why}`;
}

function isKept(reason: string): reason is KeptReason {
  return Object.hasOwn(KEPT, reason);
}

/** The listed reason with which what an older row has in `why` begins; undefined where that is somebody's own words. Pure. */
export function listedIn(why: string): string | undefined {
  return Object.values(KEPT).find((label) => why === label || why.startsWith(`${label}: `));
}
