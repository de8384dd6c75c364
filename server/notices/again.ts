import { setImmediate } from 'node:timers/promises';
import { eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices } from '../db/schema/index.js';
import type { Services } from '../services.js';
import { type OweContext, type ToldWalk, toldWalk } from './compose.js';
import { giveUpAt } from './due.js';
import { KINDS } from './kinds.js';
import { messageId, type NoticeRow, overtakeNotices } from './owed.js';
import { settleSignUp } from './settle.js';
import { stateOf } from './sign-up-state.js';
import { stillStands } from './stands.js';
import { failedIds, failedWith, noticeById } from './store.js';

/**
 * Gives a failed notice another try, at once, saying what is true now, with those that failed in the same mail; false where it did not
 * fail, or is of no use any more (a sign-in link that has expired). One that says what is not so any more is overtaken instead.
 */
export function tryAgain(tx: Tx, context: OweContext, id: number): boolean {
  const row = noticeById(tx, id);
  if (row?.state !== 'failed') return false;
  const failed = failedWith(tx, row);
  const gone = failed.filter((one) => !stillStands(tx, context, one));
  overtakeNotices(tx, gone, context.now);
  if (failed.length === gone.length) return false;
  const told = new Map<number, ToldWalk>();
  const again = failed
    .filter((one) => !gone.includes(one))
    .map((one) => {
      const walk = one.walkId === null ? null : (told.get(one.walkId) ?? toldWalk(tx, context, one.walkId));
      if (walk) told.set(walk.walk.id, walk);
      return { row: one, walk, until: untilWhen(context, one, walk?.facts.gatherAt) };
    });
  if (again.some(({ until }) => until <= context.now)) return false;
  // An earlier copy may have arrived. Where it said something else, this is another mail: mail programs drop a second one of the same id.
  const stale = again.some(({ row: one, walk }) => one.unsure && KINDS[one.kind].carriesFacts && one.version !== walk?.walk.version);
  for (const one of again) putBack(tx, context, one.row, { until: one.until, stale });
  for (const { row: one, walk } of again)
    if (walk && one.signUpId !== null) settleSignUp(tx, context, walk, stateOf(tx, one.signUpId), null);
  return true;
}

function putBack(tx: Tx, context: OweContext, row: NoticeRow, { until, stale }: { until: number; stale: boolean }): void {
  tx.update(notices)
    .set({
      state: 'pending',
      dueAt: context.now,
      giveUpAt: until,
      attempts: 0,
      endedAt: null,
      ...(stale ? { unsure: false, messageId: messageId(context, row.event) } : {}),
    })
    .where(eq(notices.id, row.id))
    .run();
}

function untilWhen(context: OweContext, row: NoticeRow, gatherAt: number | undefined): number {
  if ('signIn' in row.content) return row.content.signIn.expiresAt;
  if ('commitment' in row.content) return row.content.commitment.until;
  return giveUpAt(context.now, gatherAt ?? Number.POSITIVE_INFINITY);
}

/** The same for a walk's leader; false where the walk has no such notice. */
export function tryAgainOn(tx: Tx, context: OweContext, walkId: number, id: number): boolean {
  if (noticeById(tx, id)?.walkId !== walkId) return false;
  tryAgain(tx, context, id);
  return true;
}

const BATCH = 50;

/**
 * Gives every failed notice another try: in batches, so that pages are answered meanwhile, and each on its own, so that one that is
 * broken (it is logged, and stays failed) holds none of the others back.
 */
export async function tryAllAgain(services: Services): Promise<void> {
  const { db, config, log } = services;
  const ids = failedIds(db.q);
  for (let from = 0; from < ids.length; from += BATCH) {
    const context = { now: services.now(), settings: services.settings(), config };
    db.write((tx) => {
      for (const id of ids.slice(from, from + BATCH)) {
        try {
          // Within the transaction this is a savepoint: what a broken row half did is undone.
          db.raw.transaction(() => tryAgain(tx, context, id))();
        } catch (error) {
          log.error({ err: error, notice: id }, 'a notice could not be tried again');
        }
      }
    });
    services.mailOwed();
    await setImmediate();
  }
}
