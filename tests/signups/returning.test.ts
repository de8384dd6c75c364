import { eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { keptContacts, people } from '../../server/db/schema/index.js';
import { formFields } from '../support/fields.js';
import { signUpFields } from '../support/sign-up.js';
import { opened } from './opened.js';

const DAY_MS = 24 * 60 * 60 * 1000;

it('someone signed in who comes again types neither phone nor contact nor waiver again, and nobody else gains by it', async () => {
  const { site, cast, at, nobody } = await opened();
  site.db.write((tx) => tx.update(people).set({ phone: '+12025550123', name: 'Ana Ferreira' }).where(eq(people.id, cast.ids.walker)).run());
  const walker = cast.browser('walker');
  const email = 'walker@waymeet.example';
  expect((await walker.post(at, { ...signUpFields({ email }), keepContacts: 'yes' })).status).toBe(303);
  const [kept] = site.db.q.select().from(keptContacts).all();
  site.clock.now += DAY_MS;

  const again = `/walks/${cast.walkId}/sign-up`;
  const page = (await walker.get(again)).text;
  expect(page).toContain('value="+1 202 555 0123"');
  expect(page).toContain('kept from before, brother, number ending 88');
  expect(page).toContain('Waiver signed already.');
  expect(page).not.toContain('555-0188');
  const { csrf: _, ...form } = formFields(page) as Record<string, string>;
  expect((await walker.post(again, { ...form, agreeRules: 'yes' })).status).toBe(303);
  expect(site.db.q.select().from(keptContacts).get()?.expiresAt).toBe((kept?.expiresAt ?? 0) + DAY_MS);

  // A stranger who types the address has to type everything.
  const stranger = await nobody.post(again, { ...form, email, agreeRules: 'yes' });
  expect(stranger.status).toBe(422);
  expect(stranger.text).not.toMatch(/number ending|Waiver signed already/);
  // Signed in, but for another's address: nothing of theirs is used.
  const other = await cast.browser('other walker').post(again, { ...form, agreeRules: 'yes' });
  expect(other.status).toBe(422);
});

it('an offer of what is kept that is refused for another reason keeps it no longer', async () => {
  const { site, cast, at } = await opened();
  const walker = cast.browser('walker');
  const email = 'walker@waymeet.example';
  await walker.post(at, { ...signUpFields({ email }), keepContacts: 'yes' });
  const before = site.db.q.select().from(keptContacts).get()?.expiresAt;
  site.clock.now += DAY_MS;
  const empty = { 'members[0][contactName]': '', 'members[0][contactRelation]': '', 'members[0][contactPhone]': '' };
  expect((await walker.post(`/walks/${cast.walkId}/sign-up`, { ...signUpFields({ email, ...empty }), phone: '' })).status).toBe(422);
  expect(site.db.q.select().from(keptContacts).get()?.expiresAt).toBe(before);
});
