import { type Agreement, agreementNeeds, isPostingOpen } from '../joining/renewal.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

interface Around {
  now: number;
  zone: string;
  settings: Pick<GroupSettings, 'locale' | 'clock'>;
}

/** The mark beside a leader's name, its date joined by no-break spaces: null where their agreement needs nothing within 30 days. Pure. @param dueAt ms */
export function agreementMark(dueAt: number, { now, zone, settings }: Around): string | null {
  const needs = agreementNeeds({ dueAt }, now);
  if (needs === null) return null;
  return needs === 'closed' ? 'posting closed' : `agreement due ${when(dueAt, zone, settings).date.replaceAll(' ', '\u00a0')}`;
}

/** What their own page says of it: "signed Nov 2, due Nov 2", "never signed, posting closed since Nov 2". Pure. */
export function agreementLine({ dueAt, signedAt }: Agreement, { now, zone, settings }: Around): string {
  const date = (ms: number) => when(ms, zone, settings).fullDate;
  const signed = signedAt === null ? 'never signed' : `signed ${date(signedAt)}`;
  return `${signed}, ${isPostingOpen({ dueAt }, now) ? 'due' : 'posting closed since'} ${date(dueAt)}`;
}
