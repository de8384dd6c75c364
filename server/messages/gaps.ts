/** What a start text leaves for its writer to fill in. A message that still holds one is not sent. */
export const GAPS = {
  minutes: '[how many]',
  lookFor: '[what to look for]',
  parkAt: '[where to park]',
  photosAt: '[link to the photos]',
} as const;

/** The first gap that is still open in a text, or undefined. Other brackets are the writer's own. Pure. */
export function openGap(text: string): string | undefined {
  const folded = text.toLowerCase();
  return Object.values(GAPS).find((gap) => folded.includes(gap));
}
