import type { Tx } from '../../server/db/open.js';
import { partyMembers, signUps, texts } from '../../server/db/schema/index.js';
import { textHash, textInForce } from '../../server/texts/store.js';
import { type Evidence, keepWaiver } from '../../server/waivers/store.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { layCast } from '../support/cast.js';

export interface Someone {
  name: string;
  minor?: boolean;
  /** The number, in the list, of their guardian. */
  guardian?: number;
  /** Of an absent adult. */
  email?: string;
}

let posts = 0;

/** A sign-up for a walk as its rows stand, by whatever form it came; gives its number and its members'. */
export function partyFor(
  tx: Tx,
  walkId: number,
  people: Someone[],
  set: Partial<typeof signUps.$inferInsert> = {},
): { signUpId: number; members: number[] } {
  posts += 1;
  const name = people[0]?.name ?? '';
  const signUp = {
    walkId,
    tokenHash: `token-${posts}`,
    postMark: `post-${posts}`,
    state: 'confirmed' as const,
    name,
    email: 'ana@walkers.example',
    phone: '+12025550123',
    phoneTyped: '(202) 555-0123',
    partySize: people.length,
    rulesTextId: textInForce(tx, 'rules').id,
    rulesAgreedAt: NOON,
    createdAt: NOON,
    ...set,
  };
  const signUpId = tx.insert(signUps).values(signUp).returning({ id: signUps.id }).get().id;
  const members: number[] = [];
  for (const { name: member, minor = false, guardian, email } of people) {
    const guardianId = guardian === undefined ? null : (members[guardian] ?? null);
    const row = { signUpId, name: member, minor, guardianId, email: email ?? null };
    members.push(tx.insert(partyMembers).values(row).returning({ id: partyMembers.id }).get().id);
  }
  return { signUpId, members };
}

/** A further version of the waiver's text; gives its number. */
export function newText(tx: Tx, body: string): number {
  const version = textInForce(tx, 'waiver').version + 1;
  tx.insert(texts)
    .values({ kind: 'waiver', version, body, sha256: textHash(body), createdAt: NOON })
    .run();
  return version;
}

/** A signature of the text in force, on file elsewhere unless `changed` says more; gives its number. */
export function signed(site: TestSite, name: string, changed: Partial<Evidence> = {}): number {
  const { db, services } = site;
  return db.write((tx) => {
    const evidence: Evidence = {
      how: 'file',
      text: textInForce(tx, 'waiver'),
      signUpId: null,
      memberId: null,
      email: `${name.toLowerCase().replace(/\W/g, '.')}@walkers.example`,
      forName: name,
      signedAs: 'self',
      signerName: name,
      signature: name,
      intent: 'I sign.',
      consent: '',
      proof: 'none',
      seenBy: 'Cora Danner',
      signedAt: NOON - 1000,
      ...changed,
    };
    return keepWaiver(tx, services.sealer, evidence, services.now());
  });
}

/** A site with the cast, and a party for the posted walk whose minor has a guardian. */
export async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  return { site, cast, walkId: cast.walkId, lead: cast.browser('leader'), coordinator: cast.browser('coordinator') };
}
