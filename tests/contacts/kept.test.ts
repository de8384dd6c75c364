import { describe, expect, it } from 'vitest';
import { KEPT_FOR_MS, keepForNext, keptContacts, keptFor, usedKept } from '../../server/contacts/kept.js';
import { keptContacts as table } from '../../server/db/schema/index.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { contact } from '../support/sign-up.js';

async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  const { services, db } = site;
  const personId = cast.ids.walker;
  const keep = (forName: string, changed = {}) =>
    db.write((tx) => keepForNext(tx, services.sealer, { personId, forName, contact: { ...contact(), ...changed }, now: site.clock.now }));
  const use = (forName: string, who = personId) =>
    db.write((tx) => {
      const found = keptFor(tx, services, who, forName);
      if (found) usedKept(tx, who, [forName], site.clock.now);
      return found;
    });
  return { site, cast, personId, keep, use, shown: (who = personId) => keptContacts(services, who) };
}

describe('a contact kept for next time', () => {
  it('is found by the name, however it is typed, and shown as a hint only', async () => {
    const { site, keep, use, shown } = await opened();
    keep('Ana Ferreira', { note: 'carries an inhaler' });
    expect(use('ana  FERREIRA')).toEqual({ ...contact(), note: 'carries an inhaler' });
    expect(shown()).toEqual([
      { id: 1, forName: 'Ana Ferreira', hint: 'brother, number ending 88', expiresAt: site.clock.now + KEPT_FOR_MS },
    ]);
    expect(use('Bo Falk')).toBeNull();
  });

  it('takes the place of the one before', async () => {
    const { keep, use, shown } = await opened();
    keep('Ana Ferreira');
    keep('ANA FERREIRA', { relation: 'sister' });
    expect(use('Ana Ferreira')?.relation).toBe('sister');
    expect(shown().map((one) => [one.id, one.forName])).toEqual([[1, 'ANA FERREIRA']]);
  });

  it("is nobody else's, to see, to use or to forget", async () => {
    const { cast, keep, use, shown } = await opened();
    keep('Ana Ferreira');
    const other = cast.ids['other walker'];
    expect(shown(other)).toEqual([]);
    expect(use('Ana Ferreira', other)).toBeNull();
    expect((await cast.browser('other walker').post('/me/contacts/1/forget')).status).toBe(303);
    expect(shown()).toHaveLength(1);
    const forgotten = await cast.browser('walker').post('/me/contacts/1/forget');
    expect([forgotten.status, forgotten.headers.location]).toEqual([303, '/me']);
    expect(shown()).toEqual([]);
  });

  it('lasts a year from its last use, and not an instant more', async () => {
    const { site, keep, use, shown } = await opened();
    keep('Ana Ferreira');
    site.clock.now += KEPT_FOR_MS - 1;
    expect(use('Ana Ferreira')).toEqual(contact());
    site.clock.now += KEPT_FOR_MS - 1;
    expect(shown()).toHaveLength(1);
    site.clock.now += 1;
    expect(use('Ana Ferreira')).toBeNull();
    expect(shown()).toEqual([]);
  });

  it('that was moved from another row does not open: it says so, is logged, and is not kept any longer', async () => {
    const { site, keep, use, shown } = await opened();
    keep('Ana Ferreira');
    keep('Bo Falk');
    site.db.raw.exec('UPDATE kept_contacts SET sealed = (SELECT sealed FROM kept_contacts WHERE id = 2) WHERE id = 1');
    expect(shown().map((one) => one.hint)).toEqual(['cannot be opened', 'brother, number ending 88']);
    site.clock.now += 1;
    expect(use('Ana Ferreira')).toBeNull();
    expect(site.db.q.select().from(table).get()?.expiresAt).toBe(site.clock.now - 1 + KEPT_FOR_MS);
    expect(site.log.splice(0)).toHaveLength(2);
  });
});
