import { type Faults, line, lines, type Typed } from '../web/forms.js';

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
  else if (form.subject.length > MOST.subject) faults.subject = tooLong('subject', form.subject);
  if (form.text === '') faults.text = 'Type what you want to tell them.';
  else if (form.text.length > MOST.text) faults.text = tooLong('text', form.text);
  return Object.keys(faults).length > 0 ? { faults } : { form };
}

function tooLong(field: keyof typeof MOST, typed: string): string {
  return `Keep it under ${MOST[field]} characters; it has ${typed.length}.`;
}
