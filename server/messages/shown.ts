import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { when } from '../web/when.js';
import { messagesOf, momentNow } from './store.js';

/** The messages sent on a walk as pages list them. */
export function sentBefore(q: Tx, walk: WalkRow, settings: Services['settings']) {
  return messagesOf(q, walk.id).map(({ subject, text, fromName, at, audience, count }) => ({
    subject,
    text,
    from: fromName,
    at: when(at, walk.zone, settings()),
    mails: `${count} ${count === 1 ? 'mail' : 'mails'}`,
    afterwards: audience === 'confirmed',
  }));
}

/** What a walk's page shows of its messages: those sent, and, once people have gathered, the way to write to those who had a place. */
export function walkMessages(services: Services, walk: WalkRow) {
  const moment = momentNow(services, walk);
  return {
    sent: sentBefore(services.db.q, walk, services.settings),
    mayWriteAfter: !('closed' in moment) && moment.audience === 'confirmed',
  };
}
