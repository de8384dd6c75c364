import { and, eq, inArray, or, type SQL, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { messages, notices } from '../db/schema/index.js';
import type { WalkContent } from '../notices/content.js';
import { phoneText } from '../web/phone.js';
import { rewrite, type Writer } from './blank-notices.js';
import { NAME_ERASED } from './erased.js';
import { withoutWords } from './without-words.js';

/**
 * Takes who wrote messages out of them, and their name and number out of what was written: start texts fill both in. What was said to
 * everyone stays otherwise. Reads the whole table: others may have written their number, and erasing is rare.
 */
export function blankWrittenMessages(tx: Tx, { id, names, phones }: Writer): void {
  const words = [...names, ...[...phones].flatMap((phone) => [phone, phoneText(phone)])];
  tx.update(messages)
    .set({ fromName: NAME_ERASED })
    .where(or(eq(messages.byPersonId, id), inArray(messages.fromName, [...names])))
    .run();
  blank(tx, mentions(words), words);
  blankMails(tx, undefined, words);
}

/** Takes names and addresses out of what was written to everyone on some walks. */
export function blankInMessages(tx: Tx, walkIds: number[], names: ReadonlySet<string>): void {
  if (walkIds.length === 0) return;
  const words = [...names];
  blank(tx, and(inArray(messages.walkId, walkIds), mentions(words)), words);
  blankMails(tx, inArray(notices.walkId, walkIds), words);
}

function mentions(words: string[]): SQL | undefined {
  return or(...words.map((word) => sql`(instr(${messages.text}, ${word}) > 0 OR instr(${messages.subject}, ${word}) > 0)`));
}

function blank(tx: Tx, which: SQL | undefined, words: string[]): void {
  for (const { id, subject, text } of tx.select().from(messages).where(which).all())
    tx.update(messages)
      .set({ subject: withoutWords(subject, words), text: withoutWords(text, words) })
      .where(eq(messages.id, id))
      .run();
}

/** The same in the mails that carry it. */
function blankMails(tx: Tx, where: SQL | undefined, words: string[]): void {
  const ofMessages = inArray(notices.kind, ['message', 'message-copy']);
  const inJson = words.map((word) => JSON.stringify(word).slice(1, -1));
  const mentioned = or(...inJson.map((word) => sql`instr(${notices.content}, ${word}) > 0`));
  rewrite(tx, and(where, ofMessages, mentioned), (walk) => withoutWordsIn(walk, words));
}

function withoutWordsIn(walk: WalkContent, words: string[]): WalkContent {
  if (!walk.message) return walk;
  const { subject, text } = walk.message;
  return { ...walk, message: { ...walk.message, subject: withoutWords(subject, words), text: withoutWords(text, words) } };
}
