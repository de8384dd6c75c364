/** What a mail that asks a leader for walks says, frozen. No secrets: the private link is put in as the mail is made. */
export interface AskContent {
  letter: { id: number; madeAt: number };
  /** Who asks; by the number they are found when they are erased. */
  by: { personId: number; name: string };
  note: string;
  /** Each walk, its day in words, and the new-walk form filled for it. */
  walks: { area: string; day: string; words: string; href: string }[];
}
