import type { GroupSettings } from '../settings/rules.js';
import { underGuardians } from '../signups/minors.js';
import type { PartyMember } from '../signups/party.js';
import type { WalkRow } from '../walks/ledby.js';
import { phoneText } from '../web/phone.js';
import { fullWhen } from '../web/when.js';
import type { Contact } from './contact.js';
import { openWindow, windowState } from './window.js';

/** Someone confirmed on a walk, with how to reach whoever booked them. */
export interface OnWalk {
  id: number;
  name: string;
  /** "under 18, with Ana Ferreira"; null for an adult. */
  under: string | null;
  booker: { name: string; phone: string };
  /** Whether an emergency contact is kept. */
  kept: boolean;
}

interface Party {
  state: string;
  name: string;
  phone: string;
  members: PartyMember[];
}

/** Everyone confirmed on a walk, each minor under their guardian. Pure. @param kept the members with an emergency contact */
export function peopleOn(parties: Party[], kept: ReadonlySet<number>): OnWalk[] {
  return parties
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) =>
      underGuardians(party.members).map((member) => ({
        id: member.id,
        name: member.name,
        under: underWords(member),
        booker: { name: party.name, phone: party.phone },
        kept: kept.has(member.id),
      })),
    );
}

/** "under 18, with Ana Ferreira": how a minor is shown; null for an adult. Pure. */
export function underWords({ isMinor, guardianName }: Pick<PartyMember, 'isMinor' | 'guardianName'>): string | null {
  if (!isMinor) return null;
  return guardianName === null ? 'under 18, without a guardian' : `under 18, with ${guardianName}`;
}

/** How the window stands, as a leader is told. Pure. @param gone no emergency contact is kept of anyone on the walk */
export function windowSentence(walk: WalkRow, settings: GroupSettings, now: number, gone: boolean): string {
  const { from, until } = openWindow(walk, settings);
  const state = windowState(walk, settings, now);
  if (state === 'none')
    return walk.state === 'draft'
      ? 'This walk is not posted yet: nobody has signed up.'
      : 'Emergency details do not open for a cancelled walk: nobody is out on it.';
  if (state === 'before') return `Emergency details open ${fullWhen(from, walk.zone, settings)}.`;
  if (state === 'open') return `Emergency details are open until ${fullWhen(until, walk.zone, settings)}.`;
  return gone ? 'The emergency details of this walk have been removed.' : `Closed since ${fullWhen(until, walk.zone, settings)}.`;
}

/** One person as shown once opened. */
export interface OpenedPerson {
  name: string;
  under: string | null;
  contact: (Contact & { typed: string | null }) | null;
  /** Something is kept that does not open. */
  broken: boolean;
  /** Whose phone is shown beside: the walker's own, or that of whoever booked them. */
  own: { label: string; phone: string };
}

/** What is shown of each person asked for, opened. Pure. */
export function openedPeople(people: OnWalk[], opened: ReadonlyMap<number, Contact | null>): OpenedPerson[] {
  return people.map(({ id, name, under, booker }) => {
    const contact = opened.get(id) ?? null;
    return {
      name,
      under,
      contact: contact && { ...contact, typed: differs(contact) ? contact.phoneTyped : null },
      broken: opened.has(id) && contact === null,
      own: ownPhone(name, booker),
    };
  });
}

/** "Oscar Wetherby's own phone", or whose it is where someone else booked. */
function ownPhone(name: string, booker: { name: string; phone: string }): { label: string; phone: string } {
  return { label: booker.name === name ? `${name}'s own phone` : `Phone of ${booker.name}, who booked`, phone: booker.phone };
}

/** "10 of 11 people left an emergency contact". Pure. */
export function keptWords(people: OnWalk[]): string {
  const kept = people.filter((one) => one.kept).length;
  if (kept === 0) return 'No emergency contact is kept of anyone on this walk.';
  return kept === people.length ? 'Everyone left an emergency contact.' : `${kept} of ${people.length} people left an emergency contact.`;
}

/** Whether the number as typed is other digits than the one dialled: a mistake may show in it. */
function differs({ phone, phoneTyped }: Contact): boolean {
  const bare = (text: string) => text.replace(/[^\d+a-z]/gi, '');
  return phoneTyped !== '' && bare(phoneTyped) !== bare(phoneText(phone));
}
