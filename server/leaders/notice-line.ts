import type { walkNotices } from '../notices/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

const KIND_WORDS: Record<string, string> = {
  confirmation: 'Confirmation',
  waiting: 'Waiting list',
  change: 'Change',
  cancellation: 'Cancellation',
  'place-freed': 'Place freed',
  withdrawal: 'Withdrawal',
  reminder: 'Reminder',
  link: 'Private link',
};

const STATE_WORDS: Record<string, string> = {
  pending: 'waiting to go',
  sending: 'being sent',
  sent: 'sent',
  failed: 'failed',
  replaced: 'replaced by a newer one',
  kept: 'kept here, no mail server is set',
};

/** A notice as the leader reads it: what, to whom, how it fared, and the phone to ring where it failed. */
export function noticeLine(notice: ReturnType<typeof walkNotices>[number], zone: string, settings: GroupSettings) {
  return {
    id: notice.id,
    kind: KIND_WORDS[notice.kind] ?? notice.kind,
    to: notice.toName,
    state: STATE_WORDS[notice.state] ?? notice.state,
    failed: notice.state === 'failed',
    error: notice.state === 'failed' || notice.state === 'pending' ? notice.lastError : null,
    phone: notice.phone,
    at: when(notice.at, zone, settings),
  };
}
