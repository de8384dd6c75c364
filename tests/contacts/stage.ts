import { keepContact } from '../../server/contacts/sealed.js';
import { auditLog, partyMembers, signUps } from '../../server/db/schema/index.js';
import { textInForce } from '../../server/texts/store.js';
import { openSite, type TestSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { contact } from '../support/sign-up.js';

export const HOUR_MS = 60 * 60_000;
/** When the cast's walk gathers, ms. */
export const GATHER = walkFacts().gatherAt;

interface Someone {
  name: string;
  /** Null where none was left. */
  note: string | null;
  minor?: boolean;
}

/** A party laid straight into the tables: the first adult books it, minors are theirs. Gives each member's number. */
export function layParty(site: TestSite, walkId: number, people: Someone[], state: 'confirmed' | 'waiting' = 'confirmed'): number[] {
  const { now } = site.clock;
  return site.db.write((tx) => {
    const name = people[0]?.name ?? '';
    const address = `${name.toLowerCase().replaceAll(' ', '.')}@walkers.example`;
    const signUp = tx
      .insert(signUps)
      .values({
        walkId,
        tokenHash: `hash of ${address}`,
        postMark: `mark of ${address}`,
        state,
        name,
        email: address,
        phone: '+12025550123',
        phoneTyped: '(202) 555-0123',
        partySize: people.length,
        rulesTextId: textInForce(tx, 'rules').id,
        rulesAgreedAt: now,
        createdAt: now,
      })
      .returning({ id: signUps.id })
      .get();
    const ids: number[] = [];
    for (const one of people) {
      const guardianId = one.minor ? (ids[0] ?? null) : null;
      const { id } = tx
        .insert(partyMembers)
        .values({ signUpId: signUp.id, name: one.name, minor: one.minor ?? false, guardianId })
        .returning({ id: partyMembers.id })
        .get();
      if (one.note !== null) keepContact(tx, site.services.sealer, id, { ...contact(), note: one.note }, now);
      ids.push(id);
    }
    return ids;
  });
}

/** The cast's walk with Ana, her sister and her child on it, Bo who left no contact, and Wil who waits. */
export async function onTheWalk() {
  const site = await openSite();
  const cast = layCast(site);
  const [ana = 0, bea = 0, kim = 0] = layParty(site, cast.walkId, [
    { name: 'Ana Ferreira', note: 'carries an inhaler' },
    { name: 'Bea Ferreira', note: 'a new hip' },
    { name: 'Kim Ferreira', note: 'bee stings', minor: true },
  ]);
  const [bo = 0] = layParty(site, cast.walkId, [{ name: 'Bo Falk', note: null }]);
  const [wil = 0] = layParty(site, cast.walkId, [{ name: 'Wil Tarn', note: 'left knee' }], 'waiting');
  const at = `/lead/walks/${cast.walkId}/contacts`;
  const openings = () =>
    site.db.q
      .select()
      .from(auditLog)
      .all()
      .filter((row) => row.action === 'opened emergency details')
      .map(({ at, personId, subject, detail }) => ({ at, personId, subject, detail }));
  return { site, cast, at, openings, ids: { ana, bea, kim, bo, wil } };
}
