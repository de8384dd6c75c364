import { eq, inArray, or, type SQL, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { messages, notices, walkChanges, walkLeaders } from '../db/schema/index.js';
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

/** Someone whose name and number stand in the mail of walks, because they lead them or write to everyone: as they are, and as they were before. */
export interface Writer {
  id: number;
  names: ReadonlySet<string>;
  phones: ReadonlySet<string>;
}

/** @param ownNames names they went by in mail to them, or signed with */
export function writerOf(tx: Tx, person: { id: number; name: string; phone: string | null }, ownNames: string[]): Writer {
  const { id, name, phone } = person;
  const wrote = tx.select({ name: messages.fromName }).from(messages).where(eq(messages.byPersonId, id)).all();
  const said = mailOfWalks(tx, numbered(id)).map(({ walk }) => walk);
  const leads = said.flatMap((walk) => (walk.leader.id === id ? [walk.leader] : []));
  const wroteMail = said.flatMap((walk) => (walk.message?.byId === id ? [walk.message.from] : []));
  const names = [name, ...ownNames, ...wrote.map((row) => row.name), ...leads.map((leader) => leader.name), ...wroteMail];
  const phones = [phone, ...leads.map((leader) => leader.phone)];
  return {
    id,
    names: new Set(names.filter((one) => one !== '' && one !== NAME_ERASED)),
    phones: new Set(phones.filter((one) => one !== null)),
  };
}

/** Found by these words, since parsing every mail takes long: what is found by chance is looked at, and stays. */
function numbered(id: number): SQL {
  const words = [`"leader":{"id":${id},`, `"byId":${id}`, `"beforeId":${id}`, `"afterId":${id}`];
  return sql`(${sql.join(
    words.map((word) => sql`instr(${notices.content}, ${word}) > 0`),
    sql` OR `,
  )})`;
}

/**
 * Takes a leader's or coordinator's names and phones out of all frozen mail. Reads the whole table: walks that were handed on no longer
 * say who led them before, and erasing is rare.
 */
export function blankWriter(tx: Tx, writer: Writer): void {
  const led = tx.select({ id: walkLeaders.walkId }).from(walkLeaders).where(eq(walkLeaders.personId, writer.id)).all();
  // Of a walk that was handed over, what they wrote of it still tells.
  const wrote = tx.select({ id: walkChanges.walkId }).from(walkChanges).where(eq(walkChanges.byPersonId, writer.id)).all();
  const ledIds = new Set([...led, ...wrote].map((row) => row.id));
  const words = [...writer.names, ...writer.phones].map((word) => JSON.stringify(word).slice(1, -1));
  const mentioned = words.map((word) => sql`instr(${notices.content}, ${word}) > 0`);
  rewrite(tx, or(numbered(writer.id), ...mentioned), (walk) => withoutWriter(walk, writer, ledIds.has(walk.walkId)));
}

function mailOfWalks(tx: Tx, which: SQL | undefined): { id: number; walk: WalkContent }[] {
  const rows = tx.select({ id: notices.id, content: notices.content }).from(notices).where(which).all();
  return rows.flatMap(({ id, content }) => ('walk' in content ? [{ id, walk: content.walk }] : []));
}

/** Changes the walk in each notice's frozen content. */
export function rewrite(tx: Tx, which: SQL | undefined, change: (walk: WalkContent) => WalkContent): void {
  for (const { id, walk } of mailOfWalks(tx, which))
    tx.update(notices)
      .set({ content: { walk: change(walk) } })
      .where(eq(notices.id, id))
      .run();
}

function withoutWriter(walk: WalkContent, writer: Writer, ledNow: boolean): WalkContent {
  const { leader, message } = walk;
  const differences = walk.differences?.map((one) => ({
    ...one,
    before: nameOr(one.before, one.beforeId, writer),
    after: nameOr(one.after, one.afterId, writer),
  }));
  const { id } = leader;
  return {
    ...walk,
    ...(isTheirs(leader, writer, ledNow) ? { leader: { ...(id === undefined ? {} : { id }), name: NAME_ERASED, phone: null } } : {}),
    ...(message ? { message: { ...message, from: nameOr(message.from, message.byId, writer) } } : {}),
    ...(differences ? { differences } : {}),
  };
}

/** By number. In mail older than that: another leader may have the same name, but not the same number to ring, too. */
function isTheirs({ id, name, phone }: WalkContent['leader'], writer: Writer, ledNow: boolean): boolean {
  if (id !== undefined) return id === writer.id;
  return (phone !== null && writer.phones.has(phone)) || (writer.names.has(name) && (ledNow || phone === null));
}

function nameOr(text: string, id: number | undefined, writer: Writer): string {
  const theirs = id === undefined ? writer.names.has(text) : id === writer.id;
  return theirs ? NAME_ERASED : text;
}
