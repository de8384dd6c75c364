import { eq } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { turnedUp, waivers } from '../db/schema/index.js';
import type { Services } from '../services.js';
import { partiesOf } from '../signups/party.js';
import type { ShownTexts } from '../signups/shown-texts.js';
import { keepWaiver, type Moment, type Trace } from '../waivers/store.js';
import { OWN_CONSENT, PAPER_INTENT, SCREEN_INTENT } from '../waivers/words.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkTitle } from '../walks/title.js';
import { oweSignedCopy } from './signed-copy.js';
import { entriesOf, keepEntries, turnedUpBy } from './store.js';
import { keepTheirContact } from './turned-up-contacts.js';
import { type Adult, type Facts, type Given, stillSigned } from './turned-up-form.js';

export type TurnedUp = typeof turnedUp.$inferSelect;

/** What stands for a phone where a form was posted. */
const FORM_DEVICE = 'the-form';

/** The adults on a walk's roll, confirmed or turned up, with the address each signs by. Five queries. */
export function adultsOn(q: Tx, walkId: number, moment: Moment): Adult[] {
  const members = partiesOf(q, walkId, moment)
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => party.members)
    .filter((member) => !member.isMinor)
    .map((member) => ({ who: `m${member.id}`, name: member.name, email: member.signing?.email ?? '' }));
  const others = q.select().from(turnedUp).where(eq(turnedUp.walkId, walkId)).orderBy(turnedUp.id).all();
  return [...members, ...others.filter((one) => !one.minor).map((one) => ({ who: `t${one.key}`, name: one.name, email: one.email }))];
}

/** For whom somebody's waiver was signed, and by whom; null where they have none. */
export function signedFor(q: Tx, waiverId: number | null): Facts['signed'] {
  if (waiverId === null) return null;
  const row = q
    .select({ forName: waivers.forName, signedAs: waivers.signedAs, signerName: waivers.signerName })
    .from(waivers)
    .where(eq(waivers.id, waiverId))
    .get();
  return row && row.signedAs !== 'leader' ? { ...row, signedAs: row.signedAs } : null;
}

interface Keeping {
  walk: WalkRow;
  /** By which they are known: posted twice is once. */
  key: string;
  by: { id: number; name: string };
  texts: ShownTexts;
  trace: Trace;
}

/**
 * Puts somebody who turned up on the roll, as arrived, with their contact sealed and their waiver in the chain; or fills in what was missing of
 * somebody who is on it. All in one transaction.
 */
export function saveTurnedUp(services: Services, keeping: Keeping, given: Given): void {
  const { walk, key, by } = keeping;
  const now = services.now();
  services.db.write((tx) => {
    const before = turnedUpBy(tx, walk.id, key);
    const facts = { name: given.name, minor: given.minor, guardian: given.guardian, phone: given.phone, email: given.email };
    const agreed = before?.rulesAgreedAt == null ? { rulesTextId: keeping.texts.rules.id, rulesAgreedAt: now } : {};
    const { id } = before
      ? tx
          .update(turnedUp)
          .set({ ...facts, ...agreed })
          .where(eq(turnedUp.id, before.id))
          .returning({ id: turnedUp.id })
          .get()
      : tx
          .insert(turnedUp)
          .values({ walkId: walk.id, key, ...facts, ...agreed, addedAt: now, addedBy: by.id })
          .returning({ id: turnedUp.id })
          .get();
    if (given.contact) keepTheirContact(tx, services.sealer, id, given.contact, now);
    const waiverId = signed(tx, services, keeping, given, before?.waiverId ?? null);
    tx.update(turnedUp).set({ waiverId }).where(eq(turnedUp.id, id)).run();
    const action = before ? 'filled in somebody who turned up' : 'put somebody who turned up on the roll';
    writeDown(tx, { at: now, personId: by.id, action, subject: `walk:${walk.id}`, detail: { turnedUp: id } });
    arrive(tx, services, keeping);
  });
  services.mailOwed();
}

/** The number of the waiver that holds for them now: the one before, a new one, or null where they have yet to sign. */
function signed(tx: Tx, services: Services, { walk, by, texts, trace }: Keeping, given: Given, before: number | null): number | null {
  const { signing, way, signature } = given;
  if (before !== null && stillSigned(signedFor(tx, before), signing)) return before;
  if (way === 'later') return null;
  const now = services.now();
  const how =
    way === 'screen'
      ? ({ how: 'page', intent: SCREEN_INTENT, consent: OWN_CONSENT } as const)
      : ({ how: 'paper', intent: PAPER_INTENT, consent: '' } as const);
  const evidence = {
    ...how,
    ...signing,
    text: texts.waiver,
    signUpId: null,
    memberId: null,
    signature,
    proof: 'none',
    seenBy: by.name,
    signedAt: now,
  } as const;
  const waiverId = keepWaiver(tx, services.sealer, evidence, now, way === 'screen' ? trace : undefined);
  if (signing.email !== '')
    oweSignedCopy(tx, oweContext(services), {
      waiverId,
      walk: { id: walk.id, title: walkTitle(walk, services.settings().units) },
      to: { name: signing.signerName, email: signing.email },
    });
  return waiverId;
}

/** Whoever is put on the roll by the form stands there; nothing is said of somebody of whom a phone said something already. */
function arrive(tx: Tx, services: Services, { walk, key, by }: Keeping): void {
  const who = `t${key}`;
  if (entriesOf(tx, walk.id).some((entry) => entry.who === who)) return;
  const now = services.now();
  const heard = { device: FORM_DEVICE, deviceAt: now, sentAt: now, receivedAt: now, byPersonId: by.id };
  keepEntries(tx, walk.id, [{ entry: services.secret().slice(0, 22), who, said: { kind: 'arrived' }, after: [], ...heard }]);
}
