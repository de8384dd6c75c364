import { type Faults, line, lines, type Typed } from '../web/forms.js';
import { openGap } from './gaps.js';

const MOST = { subject: 80, text: 4000 } as const;

/** What someone typed to send to everyone. */
export interface MessageForm {
  subject: string;
  text: string;
}

/** Reads a posted message. Pure. */
export function readMessage(typed: Typed): { form: MessageForm } | { faults: Faults } {
  const form = { subject: line(typed, 'subject'), text: lines(typed, 'text') };
  const faults: Faults = {};
  if (form.subject === '') faults.subject = "Say in a few words what it is about: it leads the mail's subject.";
  if (form.text === '') faults.text = 'Type what you want to tell them.';
  for (const field of ['subject', 'text'] as const) {
    const fault = faults[field] ?? faultIn(field, form[field]);
    if (fault !== undefined) faults[field] = fault;
  }
  return Object.keys(faults).length > 0 ? { faults } : { form };
}

function faultIn(field: keyof typeof MOST, typed: string): string | undefined {
  if (typed.length > MOST[field]) return `Keep it under ${MOST[field]} characters; it has ${typed.length}.`;
  const gap = openGap(typed);
  return gap === undefined ? undefined : `Put your own words in place of ${gap}, or take that line out.`;
}
