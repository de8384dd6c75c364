import { and, eq, inArray, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, people, walks } from '../db/schema/index.js';
import { coordinators } from '../joining/store.js';
import type { OweContext } from '../notices/compose.js';
import { DAY_MS } from '../notices/due.js';
import { insertNotice } from '../notices/owed.js';
import type { WalkRow } from '../walks/ledby.js';
import { IS_POSTED } from '../walks/posted.js';
import { leadersOf, leads, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { type NotClosedContent, type Reminded, remindedNow, setOffsDue } from './not-closed.js';

const TRIED_MS = 2 * DAY_MS;

/** A walk that somebody is to be reminded of, and whom that reaches. */
interface Due {
  walk: WalkRow;
  who: Reminded;
  to: { id: number; name: string; email: string }[];
}

/** What is due and was not decided yet; nothing at most minutes. Two queries. */
export function notClosedDue(q: Tx, now: number): Due[] {
  const { from, until } = setOffsDue(now);
  const open = q
    .select()
    .from(walks)
    .where(and(IS_POSTED, sql`${walks.gatherAt} BETWEEN ${from} AND ${until}`))
    .all();
  const due = open.flatMap((walk) => remindedNow(walk, now).map((who) => ({ walk, who })));
  if (due.length === 0) return [];
  const owed = q
    .select({ walkId: notices.walkId, to: sql<Reminded>`${notices.content} ->> '$.notClosed.to'` })
    .from(notices)
    .where(and(inArray(notices.walkId, [...new Set(due.map(({ walk }) => walk.id))]), eq(notices.kind, 'not-closed')))
    .all();
  return due
    .filter(({ walk, who }) => !owed.some((one) => one.walkId === walk.id && one.to === who))
    .map((one) => ({ ...one, to: reached(q, one) }))
    .filter(({ to }) => to.length > 0);
}

/** Whoever was erased has no address any more. */
function reached(q: Tx, { walk, who }: Pick<Due, 'walk' | 'who'>): Due['to'] {
  const all =
    who === 'leader' ? leadersOf(q, walk.id).map(({ personId, name, email }) => ({ id: personId, name, email })) : coordinators(q);
  return all.filter(({ email }) => email.includes('@'));
}

/** Owes what is due: to leader and co-leaders, and an evening later to the coordinators. Gives how many mails. */
export function oweNotClosed(tx: Tx, context: OweContext): number {
  let owed = 0;
  for (const due of notClosedDue(tx, context.now)) for (const to of due.to) owed += oweOne(tx, context, due, to);
  return owed;
}

function oweOne(tx: Tx, context: OweContext, { walk, who }: Due, to: Due['to'][number]): number {
  const notClosed: NotClosedContent = {
    ...{ walkId: walk.id, version: walk.version, title: walkTitle(walk, context.settings.units) },
    ...{ setOffAt: walk.setOffAt, zone: walk.zone, to: who, personId: to.id },
  };
  const event = `not-closed:${walk.id}:${who}:${to.id}`;
  const id = insertNotice(tx, context, { event, kind: 'not-closed', to, content: { notClosed }, giveUpAt: context.now + TRIED_MS });
  return id === null ? 0 : 1;
}

/** Whether such a mail is still to go: the walk is open, and whom it goes to leads it, or coordinates. */
export function notClosedStands(q: Tx, { walkId, to, personId }: NotClosedContent): boolean {
  if (walkById(q, walkId)?.state !== 'posted') return false;
  if (to === 'leader') return leads(q, personId, walkId);
  const person = q
    .select({ coordinator: people.coordinator, disabledAt: people.disabledAt })
    .from(people)
    .where(eq(people.id, personId))
    .get();
  return person?.coordinator === true && person.disabledAt === null;
}
