import type { OfferStanding } from './rules.js';

/** How an offer stands, with who leads the walk now. */
export interface Standing {
  standing: OfferStanding;
  /** The offer was to lead it, not to share it. */
  lead: boolean;
  /** What who was asked has in the walk now. */
  part: 'leader' | 'co-leader' | null;
  /** Who asked. */
  by: string;
  /** Who leads it now; null where it is who was asked. */
  leader: string | null;
}

interface Words {
  heading: string;
  sentence: string;
  /** Who was asked may see the leaders' page of the walk. */
  leads: boolean;
}

/** The heading and the sentence of an offer's page: what is the case now. Pure. */
export function standingWords({ standing, lead, part, by, leader }: Standing): Words {
  const leads = part !== null && standing !== 'stood down';
  // Where whoever asked leads it, nothing has changed by it.
  const stays = leader !== null && leader === by ? `${leader} still leads it.` : null;
  const now = leader === null ? 'You lead this walk now.' : `${leader} leads this walk now.`;
  switch (standing) {
    case 'open':
      return { heading: lead ? 'Would you lead this walk?' : 'Would you share this walk?', sentence: '', leads };
    case 'cancelled':
      return { heading: 'This walk is cancelled', sentence: 'There is nothing to answer any more.', leads };
    case 'begun':
      return { heading: 'It is too late for this', sentence: `The walk has begun. ${now}`, leads };
    case 'stood down':
      return {
        heading: 'You lead no walks any more',
        sentence: `So you cannot take this one on. If that is a mistake, speak to a coordinator. ${leader === null ? '' : now}`.trim(),
        leads,
      };
    case 'withdrawn':
      return { heading: 'You are not asked any more', sentence: `${by} has taken the question back. ${stays ?? now}`, leads };
    case 'declined':
      return { heading: 'You said no thanks', sentence: `${by} hears of it by mail. ${stays ?? now}`, leads };
    case 'closed':
      return { heading: lead && leader !== null ? `${leader} leads it now` : 'You are not asked any more', sentence: now, leads };
    case 'accepted':
      return accepted(part, now);
  }
}

function accepted(part: Standing['part'], now: string): Words {
  if (part === 'leader')
    return { heading: 'You lead this walk', sentence: 'Thank you. Its page shows who comes, and what to do before.', leads: true };
  if (part === 'co-leader') return { heading: 'You share this walk', sentence: `Thank you. ${now}`, leads: true };
  return { heading: 'You said yes', sentence: `Since then you were taken off this walk, or stepped back. ${now}`, leads: false };
}
