import type { Tx } from '../db/open.js';
import { ERASED } from '../privacy/erased.js';
import { contentFor, type OweContext, type ToldWalk, toldWalk } from './compose.js';
import { giveUpAt, isUrgent } from './due.js';
import { leaderDifference } from './leader-difference.js';
import { oweMemberLeader } from './owe-members.js';
import { hastenNotices, insertNotice, replaceNotices } from './owed.js';
import { settleSignUp } from './settle.js';
import { type SignUpState, statesOn } from './sign-up-state.js';

/**
 * Owes everyone signed up, and the absent adults of their parties, the news of who leads their walk now. Called after the walk's new
 * version was written, in the same transaction. Whatever else still waits for them carries the new leader's number from then on.
 * @param former the name of who led it until now
 */
export function oweNewLeader(tx: Tx, context: OweContext, walkId: number, former: string): void {
  const told = toldWalk(tx, context, walkId);
  const urgent = isUrgent(context.now, [told.facts.gatherAt]);
  const before = former === ERASED ? 'someone who has left' : former;
  for (const state of statesOn(tx, walkId)) {
    settleSignUp(tx, context, told, state, null);
    oweOne(tx, context, told, state, before);
    if (urgent) hastenNotices(tx, state.signUp.id, context.now);
  }
  oweMemberLeader(tx, context, told, before);
}

/** One that has not gone out is overtaken; the new one starts from the leader whom the walker knows of. */
function oweOne(tx: Tx, context: OweContext, told: ToldWalk, { signUp, party, rows }: SignUpState, former: string): void {
  const waiting = rows.filter((row) => row.kind === 'new-leader' && row.state === 'pending' && !row.unsure);
  replaceNotices(tx, waiting, context.now);
  const differences = [leaderDifference(told, waiting[0]?.content, former)];
  insertNotice(tx, context, {
    event: `new-leader:${signUp.id}:${told.walk.version}`,
    kind: 'new-leader',
    to: signUp,
    content: { walk: { ...contentFor(told, signUp, party), differences } },
    signUpId: signUp.id,
    giveUpAt: giveUpAt(context.now, told.facts.gatherAt),
  });
}
