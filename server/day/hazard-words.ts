import type { GroupSettings } from '../settings/rules.js';
import { dateWords, when } from '../web/when.js';
import type { Hazard } from './hazards-store.js';

/** A hazard in the words that pages and the walk check show. */
export interface HazardWords {
  href: string;
  what: string;
  place: string;
  /** "Noted by Lena Marsh on Sat, Nov 21, 2026" */
  noted: string;
  /** "It was to last until Mon, Dec 7." or empty. */
  until: string;
}

/** Pure. @param zone the area's, for the day it was noted on */
export function hazardWords(hazard: Hazard, zone: string, settings: Pick<GroupSettings, 'locale' | 'clock'>): HazardWords {
  const { id, place, what, by, notedAt, untilDate } = hazard;
  return {
    href: `/lead/hazards/${id}`,
    what,
    place,
    noted: `Noted ${by === null ? '' : `by ${by} `}on ${when(notedAt, zone, settings).fullDate}`,
    until: untilDate === '' ? '' : `It was to last until ${dateWords(untilDate, settings.locale)}, ${untilDate.slice(0, 4)}.`,
  };
}
