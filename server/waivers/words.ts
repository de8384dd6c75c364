/** What is ticked under the waiver and kept with each signature: that typing the name is signing. */
export const INTENT = 'Each of us has read the waiver and signs it by typing our full name above; a guardian signs for the child, too.';
/** And that it is done here and not on paper. */
export const CONSENT = 'We agree to sign on this page instead of on paper.';

/** The same for an adult who signs by a link of their own, for themself and perhaps for children. */
export const OWN_INTENT = 'I have read the waiver and sign it by typing my full name above, for each person named there.';
export const OWN_CONSENT = 'I agree to sign on this page instead of on paper.';

/** What stands above the signature on the printed waiver. */
export const PAPER_INTENT = 'I have read the waiver above and sign it with my own hand.';

/** On a leader's screen, for one person who turned up on the day. */
export const SCREEN_INTENT = 'I have read the waiver and sign it by typing my full name above, for the person named there.';

/** What a coordinator says of a list of signatures kept elsewhere. */
export const FILE_INTENT = 'The paper on file elsewhere says what this version of the waiver says.';

/** The version that a form says it shows, where the one in force is another by now. */
export function versionSent(typed: string): string {
  return /^\d{1,6}$/.test(typed) ? `version ${typed}` : 'another version';
}
