import type { Tx } from '../db/open.js';
import { changedFacts, mustTell } from '../walks/edit.js';
import type { WalkFacts } from '../walks/facts.js';
import type { WalkRow } from '../walks/ledby.js';
import { factsOf } from '../walks/store.js';
import type { OweContext } from './compose.js';
import type { Difference } from './content.js';
import { differences } from './difference.js';
import { KINDS } from './kinds.js';
import { netDifferences, planOf, type Standing, wasOffered } from './net-change.js';
import { type SignUpState, statesOn } from './sign-up-state.js';

export interface OwedPreview {
  /** How many sign-ups the walk has, confirmed and waiting. */
  signedUp: number;
  /** Who will get a change mail. Where the edit need not be told: everyone signed up. */
  told: { name: string; email: string; state: 'confirmed' | 'waiting' }[];
  /** Who needs no change mail: a first one still waits to go to them, and will say it. */
  inFirstMail: OwedPreview['told'];
  /** What they will be told: against what each was last told, one row for each different one. */
  differences: Difference[];
  /** What the leader may choose to tell. */
  offeredDifferences: Difference[];
}

/**
 * Who an edit would be told to, and the exact difference: for the leader, before saving. Worked out as it will be when it is saved,
 * from what each walker was last told and from what still waits to go to them.
 * @param edit offered: with what the leader may choose to tell
 */
export function owedPreview(q: Tx, context: OweContext, walk: WalkRow, newFacts: WalkFacts, edit: { offered: boolean }): OwedPreview {
  const before = factsOf(walk);
  const after: Standing = {
    walk: { ...walk, version: walk.version + 1 },
    facts: newFacts,
    versions: new Map([[walk.version, before]]),
    differences: new Map(),
  };
  const everyone = statesOn(q, walk.id).map((state) => ({ state, ...owedTo(q, context, after, state) }));
  const mustBeTold = mustTell(changedFacts(before, newFacts));
  const told = mustBeTold ? everyone.filter((one) => one.always.length > 0) : everyone;
  // Nobody to tell: the leader sees the edit itself.
  const own = (names: 'always' | 'all') => differences(before, newFacts, names, context.settings);
  const lists = everyone.length > 0 ? everyone : [{ always: own('always'), all: own('all') }];
  const always = distinct(lists.map((one) => one.always));
  const labels = new Set(always.map((row) => row.label));
  return {
    signedUp: everyone.length,
    told: told.map(({ state }) => recipient(state)),
    inFirstMail: mustBeTold
      ? everyone.filter((one) => !told.includes(one) && firstMailWaits(one.state)).map(({ state }) => recipient(state))
      : [],
    differences: mustBeTold ? always : [],
    offeredDifferences: edit.offered ? distinct(lists.map((one) => one.all)).filter((row) => !labels.has(row.label)) : [],
  };
}

function owedTo(q: Tx, context: OweContext, after: Standing, state: SignUpState): { always: Difference[]; all: Difference[] } {
  const plan = planOf(q, after, state);
  const rows = (offered: boolean) => netDifferences(q, after, plan, offered, context.settings);
  return { always: rows(wasOffered(plan, state.rows)), all: rows(true) };
}

function firstMailWaits({ rows }: SignUpState): boolean {
  return rows.some((row) => row.state === 'pending' && row.kind !== 'change' && KINDS[row.kind].carriesFacts);
}

function recipient({ signUp: { name, email, state } }: SignUpState): OwedPreview['told'][number] {
  return { name, email, state: state === 'waiting' ? 'waiting' : 'confirmed' };
}

/** Walkers who were told different things read different rows of one label: each is shown, once. */
function distinct(lists: Difference[][]): Difference[] {
  return [...new Map(lists.flat().map((row) => [JSON.stringify(row), row])).values()];
}
