import { and, eq } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { turnedUp, walks } from '../db/schema/index.js';
import type { OweContext } from '../notices/compose.js';
import type { WalkRow } from '../walks/ledby.js';
import { walkById } from '../walks/store.js';
import type { Faults, Typed } from '../web/forms.js';
import { type Attended, attendanceOf, attended, keepAttendance } from './attendance.js';
import { type Closing, type Known, readClosing } from './close-form.js';
import { endedWords } from './close-model.js';
import { CLOSING_DEVICE, closingState, type Ended, endedBy, endedKey, heardLate, wordBy } from './closing-rules.js';
import { addHazards } from './hazards-store.js';
import { byPerson, groupAt, type Headcount, headcount, standing } from './ledger.js';
import { settle } from './settle.js';
import { STATE_WORDS } from './state-words.js';
import { addTurnedUp, entriesOf, type KeptEntry, keepEntries, type OnRoll, rosterOf } from './store.js';
import { oweThanks } from './thanks-store.js';

/** Someone on the roll as the closing page shows them. */
export interface OnClose extends Known, Pick<OnRoll, 'minor' | 'guardianName'> {
  /** The entries of theirs that stand. */
  seen: string[];
  state: ReturnType<typeof standing>['state'];
  /** How the walk was closed for them; null where it is open, or they are new to it. */
  kept: Ended | null;
  /** Something was heard of them after the close. */
  late: boolean;
  /** Whether they could leave an address: adults who turned up and left none. */
  asksAddress: boolean;
}

/** A walk's roll and attendance, as its closing needs them. */
export interface ClosingFacts {
  people: OnClose[];
  entries: KeptEntry[];
  counts: Headcount;
  /** A roll was kept: something was said of somebody. */
  rollKept: boolean;
  /** The roll has the group at the finish. */
  isBack: boolean;
  attendance: Map<string, Attended>;
}

/** Eight queries, whatever the number of people. */
export function closingFacts(q: Tx, walk: WalkRow, context: Pick<OweContext, 'now' | 'settings'>): ClosingFacts {
  const roster = rosterOf(q, walk, context);
  const entries = entriesOf(q, walk.id);
  const said = byPerson(entries);
  const rollKept = entries.some(({ who }) => who !== 'back');
  const known = attendanceOf(q, walk.id);
  const late = walk.closedAt === null ? new Set<string>() : heardLate(entries, walk.closedAt);
  const addresses = new Map(
    q
      .select({ key: turnedUp.key, email: turnedUp.email })
      .from(turnedUp)
      .where(eq(turnedUp.walkId, walk.id))
      .all()
      .map(({ key, email }) => [`t${key}`, email]),
  );
  const people = roster.map(({ who, name, minor, guardianName }) => {
    const now = standing(said.get(who) ?? []);
    return {
      ...{ who, name, minor, guardianName, word: wordBy(now), seen: now.heads, state: now.state },
      kept: known.get(who)?.ended ?? null,
      ended: known.get(who)?.ended ?? endedBy(now),
      onPaperOnly: !rollKept,
      late: late.has(who),
      asksAddress: !minor && addresses.get(who) === '',
    };
  });
  const counts = headcount(
    roster.map((one) => one.who),
    entries,
  );
  return { people, entries, counts, rollKept, isBack: atFinish(entries), attendance: known };
}

/** Whether a walk's roll has the group at the finish. */
export function isBack(q: Tx, walkId: number): boolean {
  return atFinish(entriesOf(q, walkId));
}

function atFinish(entries: readonly KeptEntry[]): boolean {
  return groupAt(entries).at === 'finish';
}

/** How an attempt to close ended. */
export type CloseOutcome = { closed: true } | { faults: Faults } | { state: 'never' | 'early' | 'settled' };

interface Close {
  walkId: number;
  typed: Typed;
  by: number;
  /** Makes an entry's id. */
  newId: () => string;
}

/**
 * Closes a walk, or puts right one that was closed: what the form says goes into the roll, attendance follows from it, hazards are kept, and
 * whoever walked is owed thanks; all in the transaction it is given. Twice, or two at once, is once.
 */
export function closeWalk(tx: Tx, context: OweContext, { walkId, typed, by, newId }: Close): CloseOutcome {
  const walk = walkById(tx, walkId);
  if (!walk) throw new Error(`walk ${walkId} is missing`);
  const { people, entries, isBack } = closingFacts(tx, walk, context);
  const state = closingState(walk, context.now, isBack);
  if (state !== 'open' && state !== 'correctable') return { state };
  const read = readClosing(typed, { people, walk });
  if ('faults' in read) return read;
  const closing = onlyNew(read.closing, people);
  const written = closedMeanwhile(closing, people, (ended) => endedWords(ended, walk, context.settings.units));
  if (Object.keys(written).length > 0) return { faults: written };
  const roster = [...people.map(({ who }) => who), ...closing.turnedUp.map(({ key }) => `t${key}`)];
  const settlement = settle(roster, entries, closing.settled, newId);
  if (!settlement.mayClose) return { faults: openFaults(people, settlement) };
  const { now } = context;
  addTurnedUp(tx, walk.id, closing.turnedUp, { personId: by, now });
  addAddresses(tx, walk, closing);
  keepEntries(
    tx,
    walk.id,
    settlement.entries.map((one) => ({ ...one, device: CLOSING_DEVICE, deviceAt: now, sentAt: now, receivedAt: now, byPersonId: by })),
  );
  keepAttendance(
    tx,
    walk.id,
    closing.settled.map(({ who, ended }) => attended(who, ended, walk)),
  );
  addHazards(tx, walk, closing.hazards, { by, now });
  if (state === 'open') setClosed(tx, walk, { by, now });
  oweThanks(tx, context, walk.id);
  return { closed: true };
}

/** The same form posted again names people whom it has added already: they stand as they are. */
function onlyNew(closing: Closing, people: readonly Known[]): Closing {
  const known = new Set(people.map(({ who }) => who));
  const added = closing.turnedUp.filter(({ key }) => known.has(`t${key}`)).map(({ key }) => `t${key}`);
  // Of such a person the first is what stands, the last what the form says once more.
  const settled = closing.settled.filter(
    ({ who }, index) => !added.includes(who) || closing.settled.findIndex((one) => one.who === who) === index,
  );
  return { ...closing, settled, turnedUp: closing.turnedUp.filter(({ key }) => !known.has(`t${key}`)) };
}

/** Of whom somebody else said otherwise since the form was opened: their word is not written over unseen. */
function closedMeanwhile({ settled, shown }: Closing, people: readonly OnClose[], words: (ended: Ended) => string): Faults {
  const faults: Faults = {};
  for (const [index, { who, name, kept }] of people.entries()) {
    const said = settled.find((one) => one.who === who);
    const before = shown.get(who);
    if (!kept || !said || before === undefined || [before, endedKey(said.ended)].includes(endedKey(kept))) continue;
    faults[`people[${index}][ended]`] = `Since you opened this page somebody else said of ${name}: ${words(kept)}. Look again, then save.`;
  }
  return faults;
}

function openFaults(people: readonly OnClose[], { changed, counts }: ReturnType<typeof settle>): Faults {
  const faults: Faults = {};
  for (const [index, { who, name, state }] of people.entries()) {
    const field = `people[${index}][ended]`;
    if (changed.includes(who))
      faults[field] = `Since you opened this page the roll says of ${name}: ${STATE_WORDS[state]}. Look again, then save.`;
    else if (counts.unsettled.includes(who)) faults[field] = `Say how the walk ended for ${name}.`;
  }
  return faults;
}

function addAddresses(tx: Tx, walk: WalkRow, { addresses }: Closing): void {
  // An address that is there already is theirs: it is never written over here.
  for (const { who, email } of addresses)
    tx.update(turnedUp)
      .set({ email })
      .where(and(eq(turnedUp.walkId, walk.id), eq(turnedUp.key, who.slice(1)), eq(turnedUp.email, '')))
      .run();
}

function setClosed(tx: Tx, walk: WalkRow, { by, now }: { by: number; now: number }): void {
  tx.update(walks).set({ state: 'closed', closedAt: now }).where(eq(walks.id, walk.id)).run();
  writeDown(tx, { at: now, personId: by, action: 'closed a walk', subject: `walk:${walk.id}` });
}
