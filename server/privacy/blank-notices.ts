import { and, eq, inArray, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, walkLeaders } from '../db/schema/index.js';
import type { SignedWaiver, WalkContent } from '../notices/content.js';
import { ERASED } from './erased.js';

/** Takes names out of the frozen mail of some sign-ups that goes or went to somebody else. */
export function blankPartyNames(tx: Tx, signUpIds: number[], names: ReadonlySet<string>): void {
  if (signUpIds.length === 0) return;
  const rows = tx.select({ id: notices.id, content: notices.content }).from(notices).where(inArray(notices.signUpId, signUpIds)).all();
  rewrite(tx, rows, (walk) => withoutParty(walk, names));
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
  const ledIds = new Set(led.map((row) => row.id));
  const inJson = JSON.stringify(writer.name).slice(1, -1);
  const mentioned = sql`(instr(${notices.content}, ${inJson}) > 0 OR instr(${notices.content}, ${writer.phone ?? inJson}) > 0)`;
  const rows = tx.select({ id: notices.id, content: notices.content }).from(notices).where(mentioned).all();
  rewrite(tx, rows, (walk) => withoutWriter(walk, writer, ledIds.has(walk.walkId)));
}

type Row = Pick<typeof notices.$inferSelect, 'id' | 'content'>;

function rewrite(tx: Tx, rows: Row[], change: (walk: WalkContent) => WalkContent): void {
  for (const { id, content } of rows) {
    if (!('walk' in content)) continue;
    tx.update(notices)
      .set({ content: { walk: change(content.walk) } })
      .where(and(eq(notices.id, id)))
      .run();
  }
}

function withoutParty(walk: WalkContent, names: ReadonlySet<string>): WalkContent {
  const party = walk.signUp.party.map((name) => (names.has(name) ? ERASED : name));
  const signed = walk.waivers ? { waivers: walk.waivers.map((waiver) => withoutSigner(waiver, names)) } : {};
  return { ...walk, signUp: { ...walk.signUp, party }, ...signed };
}

/** Whoever signed is found by their name; the signature beside it may be typed a little differently. */
function withoutSigner(waiver: SignedWaiver, names: ReadonlySet<string>): SignedWaiver {
  const texts = Object.entries(waiver).map(
    ([key, value]) => [key, typeof value === 'string' && names.has(value) ? ERASED : value] as const,
  );
  const blank = Object.fromEntries(texts) as unknown as SignedWaiver & { signerName?: string };
  const signer = blank.signerName ?? blank.forName;
  return signer === ERASED ? { ...blank, signature: ERASED } : blank;
}

function withoutWriter(walk: WalkContent, { name, phone }: Writer, ledNow: boolean): WalkContent {
  const { leader } = walk;
  // Another leader may have the same name, but not the same number, too.
  const isTheirs = (leader.phone !== null && leader.phone === phone) || (leader.name === name && (ledNow || leader.phone === null));
  const differences = walk.differences?.map((one) => ({ ...one, before: other(one.before, name), after: other(one.after, name) }));
  return {
    ...walk,
    ...(isTheirs ? { leader: { name: ERASED, phone: null } } : {}),
    ...(walk.message ? { message: { ...walk.message, from: other(walk.message.from, name) } } : {}),
    ...(differences ? { differences } : {}),
  };
}

function other(text: string, name: string): string {
  return text === name ? ERASED : text;
}
