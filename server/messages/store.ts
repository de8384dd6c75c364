import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { hashed } from '../db/seal.js';
import { oweMessage } from '../notices/owe.js';
import type { Services } from '../services.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import type { MessageForm } from './form.js';

/** The same message sent again within this is a slip of the thumb. */
const SAME_POST_MS = 10 * 60_000;
const MOST_SHOWN = 20;

/** Owes a message to everyone signed up; one sent twice goes once. False where the walk ended meanwhile, and nothing is owed. */
export function sendMessage(services: Services, walkId: number, form: MessageForm, from: string): boolean {
  const sent = services.db.write((tx) => {
    const walk = walkById(tx, walkId);
    const now = services.now();
    if (walk?.state !== 'posted' || walk.gatherAt <= now) return false;
    const at = sentLately(tx, walkId, form, now) ?? now;
    const mark = `${hashed(JSON.stringify([walkId, form.subject, form.text])).slice(0, 16)}:${at}`;
    oweMessage(tx, oweContext(services), walkId, { mark, message: { ...form, from, at } });
    return true;
  });
  services.mailOwed();
  return sent;
}

/** When the same words were first sent to a walk, if that was a moment ago. */
function sentLately(tx: Tx, walkId: number, form: MessageForm, now: number): number | undefined {
  return messagesOf(tx, walkId).find((sent) => sent.subject === form.subject && sent.text === form.text && now - sent.at < SAME_POST_MS)
    ?.at;
}

/** A message that was sent on a walk. */
export interface SentMessage {
  subject: string;
  text: string;
  from: string;
  /** ms */
  at: number;
  /** How many sign-ups it was owed to. */
  count: number;
}

/** The messages sent on a walk, the latest first. */
export function messagesOf(q: Tx, walkId: number): SentMessage[] {
  return q.all<SentMessage>(sql`
    SELECT content ->> '$.walk.message.subject' AS subject, content ->> '$.walk.message.text' AS text,
      content ->> '$.walk.message.from' AS "from", content ->> '$.walk.message.at' AS at, count(*) AS count
    FROM notices WHERE walk_id = ${walkId} AND kind = 'message' GROUP BY 1, 2, 3, 4 ORDER BY at DESC LIMIT ${MOST_SHOWN}`);
}
