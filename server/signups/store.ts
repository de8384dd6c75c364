import { createHash } from 'node:crypto';
import { and, eq, ne, sql } from 'drizzle-orm';
import { forgetContacts } from '../contacts/sealed.js';
import { prepared, type Tx } from '../db/open.js';
import { signUps } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import { oweConfirmation, oweLink, oweWithdrawal } from '../notices/owe.js';
import { oweMemberGone } from '../notices/owe-members.js';
import { oweWaiverCopy } from '../notices/owe-signing.js';
import type { Services } from '../services.js';
import { textInForce } from '../texts/store.js';
import { oweContext } from '../walks/save.js';
import { placesTaken, walkById } from '../walks/store.js';
import type { SignUpForm } from './form.js';
import { type Given, UNKNOWN } from './given.js';
import { signUpTokenHash } from './link.js';
import { addMembers, changeMembers } from './member-store.js';
import { membersOf } from './party.js';
import { fillFreedPlaces } from './places.js';

export type SignUpRow = typeof signUps.$inferSelect;

/** How a sign-up ended: kept (new, or the very same form sent before), or why not. */
export type SignedUp = { kept: number } | { refused: 'twice' | 'over' };

/** The same form sent again within this is a slip of the thumb; later, its private page is not given out to whoever sends it. */
const SAME_POST_MS = 10 * 60_000;

/** Keeps a sign-up for good; those posted in the same moment share one wait for the disk. */
export async function addSignUp(services: Services, walkId: number, form: SignUpForm, given: Given): Promise<SignedUp> {
  const outcome = await services.db.writeTogether((tx) => keepSignUp(tx, services, walkId, form, given));
  services.mailOwed();
  return outcome;
}

/**
 * Keeps a sign-up in the transaction it is given: places counted, party, sealed contacts, waivers and the owed mail with it. A party
 * that does not fit waits as a whole.
 */
export function keepSignUp(tx: Tx, services: Services, walkId: number, form: SignUpForm, given: Given = UNKNOWN): SignedUp {
  const mark = postMark(services, walkId, form);
  const walk = walkById(tx, walkId);
  const now = services.now();
  if (walk?.state !== 'posted' || walk.gatherAt <= now) return { refused: 'over' };
  const standing = standingSignUp(tx, walkId, form.email);
  if (standing?.postMark === mark && now - standing.createdAt < SAME_POST_MS) return { kept: standing.id };
  if (standing) {
    oweLink(tx, oweContext(services), standing.id);
    return { refused: 'twice' };
  }
  const fits = placesTaken(tx, walkId).confirmed + form.members.length <= walk.capacity;
  const rulesTextId = given.texts?.rules.id ?? textInForce(tx, 'rules').id;
  const id = insertSignUp(tx, services, { walkId, form, mark, rulesTextId, state: fits ? 'confirmed' : 'waiting' });
  const unsigned = addMembers(tx, services, { id, email: form.email, name: form.name }, form.members, given);
  oweConfirmation(tx, oweContext(services), id, unsigned);
  return { kept: id };
}

function insertSignUp(
  tx: Tx,
  services: Services,
  made: { walkId: number; form: SignUpForm; mark: string; rulesTextId: number; state: 'confirmed' | 'waiting' },
): number {
  const { walkId, form, mark, rulesTextId, state } = made;
  const now = services.now();
  const added = signUpAdded(tx).get({
    walkId,
    // The private address is worked out from the number, which is known only once the row is there.
    tokenHash: services.secret(),
    postMark: mark,
    state,
    name: form.name,
    email: form.email,
    phone: form.phone,
    phoneTyped: form.phoneTyped,
    partySize: form.members.length,
    rulesTextId,
    now,
  });
  if (!added) throw new Error('a sign-up was not added');
  const { id } = added;
  linkSet(tx).run({ id, tokenHash: signUpTokenHash(services.sealer, id) });
  return id;
}

const signUpAdded = prepared((q) =>
  q
    .insert(signUps)
    .values({
      walkId: sql.placeholder('walkId'),
      tokenHash: sql.placeholder('tokenHash'),
      postMark: sql.placeholder('postMark'),
      state: sql.placeholder('state'),
      name: sql.placeholder('name'),
      email: sql.placeholder('email'),
      phone: sql.placeholder('phone'),
      phoneTyped: sql.placeholder('phoneTyped'),
      partySize: sql.placeholder('partySize'),
      rulesTextId: sql.placeholder('rulesTextId'),
      rulesAgreedAt: sql.placeholder('now'),
      createdAt: sql.placeholder('now'),
    })
    .returning({ id: signUps.id })
    .prepare(),
);

const linkSet = prepared((q) =>
  q
    .update(signUps)
    .set({ tokenHash: sql`${sql.placeholder('tokenHash')}` })
    .where(eq(signUps.id, sql.placeholder('id')))
    .prepare(),
);

/** The sign-up of an address that is not withdrawn. */
function standingSignUp(tx: Tx, walkId: number, email: string): SignUpRow | undefined {
  return standing(tx).get({ walkId, email });
}

const standing = prepared((q) =>
  q
    .select()
    .from(signUps)
    .where(and(eq(signUps.walkId, sql.placeholder('walkId')), eq(signUps.email, sql.placeholder('email')), ne(signUps.state, 'withdrawn')))
    .prepare(),
);

/** A keyed digest of all that was typed: the same form posted twice is known by it, and nobody can guess back from it. */
function postMark(services: Services, walkId: number, form: SignUpForm): string {
  return services.sealer.derive(
    'sign-up form',
    createHash('sha256')
      .update(JSON.stringify([walkId, form]))
      .digest('hex'),
  );
}

/** A sign-up by the secret of its private address. */
export function signUpByToken(q: Tx, token: string): SignUpRow | undefined {
  return q
    .select()
    .from(signUps)
    .where(eq(signUps.tokenHash, hashed(token)))
    .get();
}

/** Withdraws a sign-up, once; the places go to the waiting list in the same transaction. */
export function withdrawSignUp(services: Services, signUpId: number): void {
  services.db.write((tx) => withdrawIn(tx, services, signUpId));
  services.mailOwed();
}

/** The same in a transaction that is open already. */
export function withdrawIn(tx: Tx, services: Services, signUpId: number): void {
  const gone = tx
    .update(signUps)
    .set({ state: 'withdrawn', withdrawnAt: services.now() })
    .where(and(eq(signUps.id, signUpId), ne(signUps.state, 'withdrawn')))
    .returning({ walkId: signUps.walkId })
    .get();
  if (!gone) return;
  const party = membersOf(tx, signUpId);
  forgetContacts(
    tx,
    party.map((member) => member.id),
  );
  for (const member of party) oweMemberGone(tx, oweContext(services), signUpId, member);
  oweWithdrawal(tx, oweContext(services), signUpId);
  fillFreedPlaces(tx, oweContext(services), gone.walkId);
}

/** Changes a party: names, contacts, people added and removed. 'full' where the people added do not fit; then nothing is changed. */
export function changeParty(services: Services, signUpId: number, form: Omit<SignUpForm, 'email'>, given: Given): 'changed' | 'full' {
  const outcome = services.db.write((tx) => {
    const signUp = tx.select().from(signUps).where(eq(signUps.id, signUpId)).get();
    const walk = signUp && walkById(tx, signUp.walkId);
    if (!signUp || !walk || signUp.state === 'withdrawn') return 'changed';
    const grown = form.members.length - signUp.partySize;
    if (signUp.state === 'confirmed' && grown > 0 && placesTaken(tx, walk.id).confirmed + grown > walk.capacity) return 'full';
    const { name, phone, phoneTyped } = form;
    tx.update(signUps).set({ name, phone, phoneTyped, partySize: form.members.length }).where(eq(signUps.id, signUpId)).run();
    const waiverIds = changeMembers(tx, services, { ...signUp, name }, form.members, given);
    oweWaiverCopy(tx, oweContext(services), { signUpId, waiverIds, to: { name, email: signUp.email } });
    if (grown < 0 || signUp.state === 'waiting') fillFreedPlaces(tx, oweContext(services), walk.id);
    return 'changed';
  });
  services.mailOwed();
  return outcome;
}

/** Keeps that the booker acted on a link that was mailed to them; the first time counts. */
export function keepProof(tx: Tx, signUpId: number, now: number): void {
  tx.update(signUps)
    .set({ provedAt: now })
    .where(and(eq(signUps.id, signUpId), sql`${signUps.provedAt} IS NULL`))
    .run();
}
