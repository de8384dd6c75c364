import type { Config } from '../config.js';
import type { GroupSettings } from '../settings/rules.js';
import { calendarWalk, cancelledNote } from '../walks/calendar.js';
import { phoneText } from '../web/phone.js';
import { calendarInvitation } from './calendar.js';
import type { NoticeKind, WalkContent } from './content.js';
import { calendarMethod } from './kinds.js';
import type { WalkModel } from './mail-model.js';
import type { Mail } from './transport.js';

/** What an invitation is made from: a notice's content, its words, and what is worked out for this one walker. */
export interface Invited {
  kind: NoticeKind;
  walk: WalkContent;
  shown: WalkModel;
  /** Goes into the walker's own calendar only; no table holds it. */
  privateLink: string;
  attendee: { name: string; email: string };
  /** When the content was written, ms. */
  stamp: number;
}

/** The calendar part of a notice, or null for a kind that changes no calendar. */
export function invitation(invited: Invited, group: { settings: GroupSettings; config: Config }): Mail['calendar'] {
  const { kind, walk, stamp } = invited;
  const method = calendarMethod(kind, walk);
  if (method === null) return null;
  const { facts, walkId: id, uid, sequence, title } = walk;
  const cancelled = method === 'CANCEL';
  const notes = cancelled ? cancelledNotes(walk) : comingNotes(invited);
  const calendar = calendarWalk({ ...facts, id, uid, sequence, title, stamp, end: walk.finish.slowest, cancelled, notes }, group);
  return { method, body: calendarInvitation(calendar, invited.attendee) };
}

function cancelledNotes({ cancelled }: WalkContent): string[] {
  return cancelled ? [cancelledNote(cancelled.reason)] : [];
}

/** What a walker looks for on the day, standing at the meeting point without signal. */
function comingNotes({ shown: { setOff, leader }, privateLink }: Invited): string[] {
  return [
    `Set off: ${setOff.fullDate}, ${setOff.clock} ${setOff.zone}`,
    `Leader: ${leader.name}${leader.phone === null ? '' : `, ${phoneText(leader.phone)}`}`,
    `Change your party or withdraw (this link is private): ${privateLink}`,
  ];
}
