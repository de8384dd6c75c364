import type { Contact } from '../contacts/contact.js';
import { openContacts } from '../contacts/open.js';
import type { KeptReason } from '../contacts/reasons.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { openTheirContact } from './turned-up-contacts.js';

interface Opening {
  /** "m12" or "tKEY" */
  who: string;
  by: number;
  as: 'leader' | 'coordinator';
  reason: KeptReason;
  why: string | null;
}

/**
 * Opens the emergency contact of somebody on the roll, whether they signed up or turned up, and writes that down in the same transaction.
 * Undefined where none is kept, null where it does not open.
 */
export function openContactOf(services: Services, walk: WalkRow, { who, ...opening }: Opening): Contact | null | undefined {
  if (who.startsWith('t')) return openTheirContact(services, walk, { ...opening, key: who.slice(1) });
  const member = Number(who.slice(1));
  return openContacts(services, walk, { ...opening, member }).get(member);
}
