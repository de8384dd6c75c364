/** Whom to phone for one party member, and what a first-aider should know; what is sealed. */
export interface Contact {
  name: string;
  relation: string;
  /** E.164 */
  phone: string;
  phoneTyped: string;
  note: string;
}
