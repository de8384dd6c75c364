import type { Tx } from '../db/open.js';
import { ERASED } from '../privacy/erased.js';
import { contentFor, type OweContext, type ToldWalk, toldWalk } from './compose.js';
import { giveUpAt, isUrgent } from './due.js';
import { type FormerLeader, leaderDifference } from './leader-difference.js';
import { oweMemberLeader } from './owe-members.js';
import { failedOn, hastenNotices, insertNotice, type NoticeRow, oldestUnheard, overtakeNotices } from './owed.js';
import { settleSignUp } from './settle.js';
import { type SignUpState, statesOn } from './sign-up-state.js';

/**
 * Owes everyone signed up, and the absent adults of their parties, the news of who leads their walk now. Called after the walk's new
 * version was written, in the same transaction. Whatever else still waits for them carries the new leader's number from then on.
 * @param former who led it until now
 */
export function oweNewLeader(tx: Tx, context: OweContext, walkId: number, former: FormerLeader): void {
  const told = toldWalk(tx, context, walkId);
  const urgent = isUrgent(context.now, [told.facts.gatherAt]);
  const before = former.name === ERASED ? { ...former, name: 'someone who has left' } : former;
  const failed = failedOn(tx, walkId, ['new-leader', 'member-news']);
  for (const state of statesOn(tx, walkId)) {
    settleSignUp(tx, context, told, state, null);
    oweOne(tx, context, told, { state, failed, before });
    if (urgent) hastenNotices(tx, state.signUp.id, context.now);
  }
  oweMemberLeader(tx, context, told, { failed, before });
}

interface Owed {
  state: SignUpState;
  failed: NoticeRow[];
  before: FormerLeader;
}

/** What has not gone out, or failed, is overtaken; the new one starts from the leader whom the walker knows of. */
function oweOne(tx: Tx, context: OweContext, told: ToldWalk, { state: { signUp, party, rows }, failed, before }: Owed): void {
  const waiting = rows.filter((row) => row.kind === 'new-leader' && row.state === 'pending');
  const overtaken = [...failed.filter((row) => row.kind === 'new-leader' && row.signUpId === signUp.id), ...waiting];
  overtakeNotices(tx, overtaken, context.now);
  const difference = leaderDifference(told, oldestUnheard(overtaken)?.content, before);
  if (!difference) return;
  insertNotice(tx, context, {
    event: `new-leader:${signUp.id}:${told.walk.version}`,
    kind: 'new-leader',
    to: signUp,
    content: { walk: { ...contentFor(told, signUp, party), differences: [difference] } },
    signUpId: signUp.id,
    giveUpAt: giveUpAt(context.now, told.facts.gatherAt),
  });
}
