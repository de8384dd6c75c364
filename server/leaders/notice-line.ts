import { KINDS, STATE_WORDS } from '../notices/kinds.js';
import type { NoticeLine } from '../notices/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';
import type { NoticeCount } from './walk-store.js';

/** A notice as the leader reads it: what, to whom, how it fared, and the phone to ring where it failed. */
export function noticeLine(notice: NoticeLine, zone: string, settings: GroupSettings) {
  return {
    id: notice.id,
    kind: KINDS[notice.kind].label,
    to: notice.toName,
    state: STATE_WORDS[notice.state],
    failed: notice.state === 'failed',
    error: notice.state === 'failed' || notice.state === 'pending' ? notice.lastError : null,
    phone: notice.phone,
    at: when(notice.at, zone, settings),
  };
}

/** "Confirmation: 11 delivered": a line a kind and state. */
export function noticeSums(counts: NoticeCount[]) {
  return counts.map(({ kind, state, count }) => ({
    kind: KINDS[kind].label,
    count,
    state: STATE_WORDS[state],
    failed: state === 'failed',
  }));
}

/** After an edit: how many people a change notice still goes to, and when the first goes (null where it is due already). */
export function stillToTell(counts: NoticeCount[], zone: string, settings: GroupSettings, now: number) {
  const waiting = counts.find((one) => one.kind === 'change' && one.state === 'pending');
  if (!waiting) return null;
  return {
    people: waiting.count === 1 ? '1 person' : `${waiting.count} people`,
    at: waiting.dueAt > now ? when(waiting.dueAt, zone, settings) : null,
  };
}
