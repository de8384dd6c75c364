/** What is ticked under the leader's agreement and kept with the signature: that typing the name is signing. */
export const AGREEMENT_INTENT = "I have read the leader's agreement and sign it by typing my full name above.";
/** And that it is done here and not on paper. */
export const AGREEMENT_CONSENT = 'I agree to sign on this page instead of on paper.';
