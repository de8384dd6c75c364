import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

/** A first-aid certificate in a few words: "first aid until Mar 1, 2027", or that it has expired. */
export interface FirstAid {
  words: string;
  expired: boolean;
}

const NOON_MS = 12 * 60 * 60 * 1000;

/**
 * What is said of a certificate valid until a date (YYYY-MM-DD): on that day it still is. Null where none is known. Pure.
 * @param zone of the group
 */
export function firstAid(
  until: string | null,
  { now, settings, zone }: { now: number; settings: GroupSettings; zone: string },
): FirstAid | null {
  if (until === null) return null;
  const expired = until < wallOf(now, zone).date;
  // A date has no zone: at noon UTC it is the same day.
  const date = when(Date.parse(until) + NOON_MS, 'UTC', settings).fullDate;
  return { words: expired ? `first aid expired ${date}` : `first aid until ${date}`, expired };
}
