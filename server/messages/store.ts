import { and, desc, eq, gt, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { messages } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import { oweMessage, oweMessageCopy } from '../notices/owe-messages.js';
import type { Services } from '../services.js';
import { finishTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { factsOf, walkById } from '../walks/store.js';
import type { Person } from '../web/visitor.js';
import type { MessageForm } from './form.js';
import { momentOf } from './moment.js';

/** The same message sent again within this is a slip of the thumb. */
const SAME_POST_MS = 10 * 60_000;
const MOST_SHOWN = 20;

type Writer = Pick<Person, 'id' | 'name' | 'email'>;

/** What can be written on a walk now. */
export function momentNow({ settings, now }: Services, walk: WalkRow): ReturnType<typeof momentOf> {
  return momentOf(walk, finishTimes(factsOf(walk), settings()).slowest, now());
}

/** Owes a message to the people of a walk, and keeps it; one sent twice goes once. False where nobody can be written to any more, and nothing is owed. */
export function sendMessage(services: Services, walkId: number, form: MessageForm, by: Writer): boolean {
  const sent = services.db.write((tx) => {
    const walk = walkById(tx, walkId);
    const moment = walk && momentNow(services, walk);
    if (!moment || 'closed' in moment) return false;
    const now = services.now();
    const before = sentLately(tx, walkId, form, now);
    const first = before ?? { fromName: by.name, byPersonId: by.id, at: now };
    const message = { ...form, from: first.fromName, at: first.at, ...(first.byPersonId === null ? {} : { byId: first.byPersonId }) };
    const mark = `${hashed(JSON.stringify([walkId, form.subject, form.text])).slice(0, 16)}:${first.at}`;
    const { audience, notBack: withAbsent } = moment;
    const owed = oweMessage(tx, oweContext(services), walkId, { mark, message, audience, withAbsent });
    if (before) addMails(tx, before.id, owed);
    else if (owed > 0)
      tx.insert(messages)
        .values({ walkId, byPersonId: by.id, fromName: by.name, ...form, at: now, audience, count: owed })
        .run();
    return true;
  });
  services.mailOwed();
  return sent;
}

/** Owes the writer a copy of a message, which is not sent by that. False where the same went a moment ago. */
export function sendCopy(services: Services, walkId: number, form: MessageForm, to: Writer): boolean {
  const message = { ...form, from: to.name, byId: to.id, at: services.now() };
  const owed = services.db.write((tx) => oweMessageCopy(tx, oweContext(services), walkId, { message, to }));
  services.mailOwed();
  return owed;
}

/** The message of the same words that was sent on a walk a moment ago. */
function sentLately(tx: Tx, walkId: number, { subject, text }: MessageForm, now: number) {
  const lately = and(eq(messages.walkId, walkId), gt(messages.at, now - SAME_POST_MS));
  return tx
    .select()
    .from(messages)
    .where(and(lately, eq(messages.subject, subject), eq(messages.text, text)))
    .get();
}

function addMails(tx: Tx, id: number, mails: number): void {
  if (mails === 0) return;
  tx.update(messages)
    .set({ count: sql`${messages.count} + ${mails}` })
    .where(eq(messages.id, id))
    .run();
}

/** A message that was sent on a walk. */
export type SentMessage = typeof messages.$inferSelect;

/** The messages sent on a walk, the latest first; at most twenty. */
export function messagesOf(q: Tx, walkId: number): SentMessage[] {
  return q.select().from(messages).where(eq(messages.walkId, walkId)).orderBy(desc(messages.at), desc(messages.id)).limit(MOST_SHOWN).all();
}

const MOST_NEXT = 3;

/** A walk to come. */
export interface NextWalk {
  id: number;
  routeName: string;
  locality: string;
  distanceMetres: number;
  gatherAt: number;
  zone: string;
}

/** The next posted walks of an area, soonest first; three at most. */
export function nextWalksIn(q: Tx, areaId: number, now: number): NextWalk[] {
  return q.all<NextWalk>(sql`
    SELECT id, route_name AS routeName, locality, distance_metres AS distanceMetres, gather_at AS gatherAt, zone FROM walks
    WHERE area_id = ${areaId} AND state IN ('posted', 'cancelled') AND state = 'posted' AND gather_at > ${now}
    ORDER BY gather_at LIMIT ${MOST_NEXT}`);
}
