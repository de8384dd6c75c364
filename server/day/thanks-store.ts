import { and, eq, inArray } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, partyMembers, turnedUp, walks } from '../db/schema/index.js';
import type { OweContext } from '../notices/compose.js';
import { DAY_MS } from '../notices/due.js';
import { insertNotice } from '../notices/owed.js';
import { areaOf, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { attendanceOf, type Walked, walkedBy } from './attendance.js';
import { nextNear, walksToCome } from './next-walks.js';
import { byAddress, isInTime, type ThanksContent } from './thanks.js';

/** Thanks are tried for this long. */
const TRIED_MS = 3 * DAY_MS;

/** Owes thanks to each address that walked, once; of mail that waits still, a correction changes what it says. None to whoever did not come. */
export function oweThanks(tx: Tx, context: OweContext, walkId: number): void {
  const walk = walkById(tx, walkId);
  if (!walk || !isInTime(walk, context.now)) return;
  const area = areaOf(tx, walk.areaId);
  const title = (one: Parameters<typeof walkTitle>[0]) => walkTitle(one, context.settings.units);
  const here = { areaId: walk.areaId, lat: walk.lat ?? area.lat, lon: walk.lon ?? area.lon };
  const next = nextNear(here, walksToCome(tx, context.now)).map((one) => {
    return { walkId: one.id, title: title(one), gatherAt: one.gatherAt, zone: one.zone };
  });
  for (const [email, people] of byAddress(walkedBy(tx, walkId).filter((one) => one.email.includes('@')))) {
    const thanks = { walkId, version: walk.version, title: title(walk), people: people.map(({ who, metres }) => ({ who, metres })), next };
    oweOne(tx, context, { email, people, thanks });
  }
}

function oweOne(
  tx: Tx,
  context: OweContext,
  { email, people, thanks }: { email: string; people: [Walked, ...Walked[]]; thanks: ThanksContent },
): void {
  const event = `thanks:${thanks.walkId}:${email}`;
  const to = { name: people[0].toName, email };
  const id = insertNotice(tx, context, { event, kind: 'thanks', to, content: { thanks }, giveUpAt: context.now + TRIED_MS });
  if (id !== null) return;
  tx.update(notices)
    .set({ content: { thanks } })
    .where(and(eq(notices.event, event), eq(notices.state, 'pending')))
    .run();
}

/** Whether thanks that wait are still to go: somebody they are for walked, as far as is known now. */
export function thanksStand(q: Tx, { walkId, people }: ThanksContent): boolean {
  const known = attendanceOf(q, walkId);
  return people.some(({ who }) => (known.get(who)?.ended.how ?? 'absent') !== 'absent');
}

/** Names by `who`, as they stand now. Two queries. */
export function namesOf(q: Tx, walkId: number, whose: readonly string[]): Map<string, string> {
  const ids = whose.filter((who) => who.startsWith('m')).map((who) => Number(who.slice(1)));
  const members = q.select({ id: partyMembers.id, name: partyMembers.name }).from(partyMembers).where(inArray(partyMembers.id, ids)).all();
  const turned = q.select({ key: turnedUp.key, name: turnedUp.name }).from(turnedUp).where(eq(turnedUp.walkId, walkId)).all();
  return new Map([
    ...members.map(({ id, name }) => [`m${id}`, name] as const),
    ...turned.map(({ key, name }) => [`t${key}`, name] as const),
  ]);
}

/** Which of some walks are still to come: mail that was tried for days names no walk that is over or cancelled. */
export function stillToCome(q: Tx, ids: readonly number[], now: number): Set<number> {
  const rows = q
    .select({ id: walks.id, state: walks.state, gatherAt: walks.gatherAt })
    .from(walks)
    .where(inArray(walks.id, [...ids]))
    .all();
  return new Set(rows.filter((row) => row.state === 'posted' && row.gatherAt > now).map((row) => row.id));
}
