import { KINDS, STATE_WORDS } from '../notices/kinds.js';
import type { NoticeLine } from '../notices/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

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
