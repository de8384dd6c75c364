import type { Tx } from '../db/open.js';
import { type GroupText, textInForce } from '../texts/store.js';
import { type Faults, groups, line, type Typed } from '../web/forms.js';

/** The texts that a form shows, and that whoever sends it agrees to or signs. */
export interface ShownTexts {
  rules: GroupText;
  waiver: GroupText;
}

export function textsInForce(q: Tx): ShownTexts {
  return { rules: textInForce(q, 'rules'), waiver: textInForce(q, 'waiver') };
}

/**
 * A text that was published while the form was open was not read by whoever sends it: they are shown it first. A form that does not say
 * which versions it shows, a program's, is taken at its word. Pure.
 */
export function checkShown(typed: Typed, { rules, waiver }: ShownTexts, faults: Faults): void {
  if (isOlder(typed, 'rulesVersion', rules)) faults.agreeRules = 'The rules were changed while this page was open: read them again.';
  if (isOlder(typed, 'waiverVersion', waiver))
    faults.agreeWaiver = 'The waiver was changed while this page was open: read it again before you sign.';
}

/** The faults of a form that shows older texts than those in force, and no others. Pure. */
export function unread(typed: Typed, texts: ShownTexts): Faults {
  const faults: Faults = {};
  checkShown(typed, texts, faults);
  return faults;
}

function isOlder(typed: Typed, field: string, text: GroupText): boolean {
  const version = line(typed, field);
  return version !== '' && version !== String(text.version);
}

/** A form without its ticks and signatures for a text that was not read: they are given anew, under the words that are in force. Pure. */
export function withoutUnread(typed: Typed, { rules, waiver }: ShownTexts): Typed {
  const read = { ...typed };
  if (isOlder(typed, 'rulesVersion', rules)) read.agreeRules = undefined;
  if (!isOlder(typed, 'waiverVersion', waiver)) return read;
  for (const field of Object.keys(read)) if (field === 'agreeWaiver' || field.startsWith('signature')) read[field] = undefined;
  return { ...read, members: groups(typed, 'members').map(({ signature: _, ...member }) => member) };
}
