import { eq, inArray, or, type SQL, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, walkChanges, walkLeaders } from '../db/schema/index.js';
import type { WalkContent } from '../notices/content.js';
import { NAME_ERASED } from './erased.js';
import { withoutNames } from './without-names.js';

/** A sign-up, and the walk it is for. */
interface SignedUp {
  signUpId: number;
  walkId: number;
}

/** Takes names out of the frozen mail of some sign-ups that goes or went to somebody else. */
export function blankPartyNames(tx: Tx, signUps: SignedUp[], names: ReadonlySet<string>): void {
  if (signUps.length === 0) return;
  const ids = signUps.map((one) => one.signUpId);
  // News to an absent adult is not the sign-up's own mail: it is found by the walk, and says in itself which sign-up it is about.
  const walkIds = [...new Set(signUps.map((one) => one.walkId))];
  const about = sql`json_extract(${notices.content}, '$.walk.signUp.id')`;
  const onWalks = sql`(${inArray(notices.walkId, walkIds)} AND ${notices.signUpId} IS NULL AND ${inArray(about, ids)})`;
  rewrite(tx, or(inArray(notices.signUpId, ids), onWalks), (walk) => withoutNames(walk, names));
}

/** Someone whose name and number stand in the mail of walks, because they lead them or write to everyone. */
export interface Writer {
  id: number;
  name: string;
  phone: string | null;
}

/**
 * Takes a leader's or coordinator's name and phone out of all frozen mail. Reads the whole table: walks that were handed on no longer
 * say who led them before, and erasing is rare.
 */
export function blankWriter(tx: Tx, writer: Writer): void {
  const led = tx.select({ id: walkLeaders.walkId }).from(walkLeaders).where(eq(walkLeaders.personId, writer.id)).all();
  // Of a walk that was handed over, what they wrote of it still tells.
  const wrote = tx.select({ id: walkChanges.walkId }).from(walkChanges).where(eq(walkChanges.byPersonId, writer.id)).all();
  const ledIds = new Set([...led, ...wrote].map((row) => row.id));
  const inJson = JSON.stringify(writer.name).slice(1, -1);
  const mentioned = sql`(instr(${notices.content}, ${inJson}) > 0 OR instr(${notices.content}, ${writer.phone ?? inJson}) > 0)`;
  rewrite(tx, mentioned, (walk) => withoutWriter(walk, writer, ledIds.has(walk.walkId)));
}

/** Changes the walk in each notice's frozen content. */
export function rewrite(tx: Tx, which: SQL | undefined, change: (walk: WalkContent) => WalkContent): void {
  const rows = tx.select({ id: notices.id, content: notices.content }).from(notices).where(which).all();
  for (const { id, content } of rows) {
    if (!('walk' in content)) continue;
    tx.update(notices)
      .set({ content: { walk: change(content.walk) } })
      .where(eq(notices.id, id))
      .run();
  }
}

function withoutWriter(walk: WalkContent, { name, phone }: Writer, ledNow: boolean): WalkContent {
  const { leader } = walk;
  // Another leader may have the same name, but not the same number, too.
  const isTheirs = (leader.phone !== null && leader.phone === phone) || (leader.name === name && (ledNow || leader.phone === null));
  const differences = walk.differences?.map((one) => ({ ...one, before: other(one.before, name), after: other(one.after, name) }));
  return {
    ...walk,
    ...(isTheirs ? { leader: { name: NAME_ERASED, phone: null } } : {}),
    ...(walk.message ? { message: { ...walk.message, from: other(walk.message.from, name) } } : {}),
    ...(differences ? { differences } : {}),
  };
}

function other(text: string, name: string): string {
  return text === name ? NAME_ERASED : text;
}
