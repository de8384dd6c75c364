import type { Tx } from '../db/open.js';
import { activeSignUps, partiesOn, partyNames, type SignUpRow, signUpById } from './compose.js';
import { type StandingRow, standingNotices, standingOn } from './owed.js';

/** A sign-up, who is in it, and its notices that are open or may have arrived: all that settling them needs. */
export interface SignUpState {
  signUp: SignUpRow;
  party: string[];
  rows: StandingRow[];
}

/** One sign-up's. @throws where there is no such sign-up */
export function stateOf(tx: Tx, signUpId: number): SignUpState {
  return { signUp: signUpById(tx, signUpId), party: partyNames(tx, signUpId), rows: standingNotices(tx, signUpId) };
}

/** That of everyone confirmed or waiting on a walk, in the order they came: three statements, however many they are. */
export function statesOn(tx: Tx, walkId: number): SignUpState[] {
  const parties = partiesOn(tx, walkId);
  const rows = standingOn(tx, walkId);
  return activeSignUps(tx, walkId).map((signUp) => ({ signUp, party: parties.get(signUp.id) ?? [], rows: rows.get(signUp.id) ?? [] }));
}
