import { and, asc, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { Config } from '../config.js';
import { prepared, type Tx } from '../db/open.js';
import { partyMembers, signUps, texts, waivers } from '../db/schema/index.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import { finishTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { areaOf, factsOf, leadersOf, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import type { Difference, SignedWaiver, WalkContent, WalkPart } from './content.js';

/** What owing a notice needs to know of the moment. */
export interface OweContext {
  now: number;
  settings: GroupSettings;
  config: Config;
}

export type SignUpRow = typeof signUps.$inferSelect;

/** A walk as its notices need it: the row, its facts, and what is the same in every mail about it. */
export interface ToldWalk {
  walk: WalkRow;
  facts: WalkFacts;
  part: WalkPart;
  /** The facts of older versions, as they are read. */
  versions: Map<number, WalkFacts>;
  /** What is different from older versions, as it is worked out. */
  differences: Map<string, Difference[]>;
}

/** Freezes a walk as it stands now. @throws where there is no such walk */
export function toldWalk(tx: Tx, context: OweContext, walkId: number): ToldWalk {
  const walk = walkById(tx, walkId);
  if (!walk) throw new Error(`walk ${walkId} is missing`);
  const facts = factsOf(walk);
  const leader = leadersOf(tx, walkId)[0];
  const area = areaOf(tx, walk.areaId);
  const part: WalkPart = {
    facts,
    writtenAt: context.now,
    version: walk.version,
    walkId,
    uid: walk.uid,
    sequence: walk.sequence,
    title: walkTitle(facts, context.settings.units),
    areaName: area.name,
    emergencyNumber: area.emergencyNumber,
    finish: finishTimes(facts, context.settings),
    leader: { ...(leader ? { id: leader.personId } : {}), name: leader?.name ?? '', phone: leader?.phone ?? null },
    ...(walk.cancelKind ? { cancelled: { kind: walk.cancelKind, reason: walk.cancelReason ?? '' } } : {}),
  };
  return { walk, facts, part, versions: new Map(), differences: new Map() };
}

/** What a notice says to one sign-up. */
export function contentFor(told: ToldWalk, signUp: SignUpRow, party: string[]): WalkContent {
  return { ...told.part, signUp: { id: signUp.id, state: signUp.state, party } };
}

const oneSignUp = prepared((q) =>
  q
    .select()
    .from(signUps)
    .where(eq(signUps.id, sql.placeholder('id')))
    .prepare(),
);

export function signUpById(tx: Tx, id: number): SignUpRow {
  const signUp = oneSignUp(tx).get({ id });
  if (!signUp) throw new Error(`sign-up ${id} is missing`);
  return signUp;
}

/** Confirmed and waiting sign-ups of a walk, in the order they came. */
export function activeSignUps(tx: Tx, walkId: number): SignUpRow[] {
  return tx
    .select()
    .from(signUps)
    .where(and(eq(signUps.walkId, walkId), inArray(signUps.state, ['confirmed', 'waiting'])))
    .orderBy(asc(signUps.id))
    .all();
}

const namesInParty = prepared((q) =>
  q
    .select({ name: partyMembers.name })
    .from(partyMembers)
    .where(and(eq(partyMembers.signUpId, sql.placeholder('signUpId')), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .prepare(),
);

/** Who is in the party. */
export function partyNames(tx: Tx, signUpId: number): string[] {
  return namesInParty(tx)
    .all({ signUpId })
    .map((member) => member.name);
}

/** Who is in each party of a walk, by sign-up. */
export function partiesOn(tx: Tx, walkId: number): Map<number, string[]> {
  const parties = new Map<number, string[]>();
  const members = tx
    .select({ signUpId: partyMembers.signUpId, name: partyMembers.name })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .where(and(eq(signUps.walkId, walkId), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .all();
  for (const { signUpId, name } of members) parties.set(signUpId, [...(parties.get(signUpId) ?? []), name]);
  return parties;
}

const SIGNED = {
  how: waivers.how,
  forName: waivers.forName,
  signedAs: waivers.signedAs,
  signerName: waivers.signerName,
  signature: waivers.signature,
  signedAt: waivers.signedAt,
  textId: waivers.textId,
  version: texts.version,
  sha256: waivers.textSha256,
  hash: waivers.hash,
};

const givenWith = prepared((q) =>
  q
    .select(SIGNED)
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .where(eq(waivers.signUpId, sql.placeholder('signUpId')))
    .orderBy(asc(waivers.id))
    .prepare(),
);

/** What was signed with a sign-up: the signer's copy. */
export function signedWith(tx: Tx, signUpId: number): SignedWaiver[] {
  return givenWith(tx).all({ signUpId });
}

/** Some signatures, by number. */
export function signatures(tx: Tx, ids: number[]): SignedWaiver[] {
  return tx
    .select(SIGNED)
    .from(waivers)
    .innerJoin(texts, eq(texts.id, waivers.textId))
    .where(inArray(waivers.id, ids))
    .orderBy(asc(waivers.id))
    .all();
}
