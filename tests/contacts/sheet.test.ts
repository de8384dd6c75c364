import { expect, it } from 'vitest';
import { emergencyContacts } from '../../server/db/schema/index.js';
import { cancelWalk } from '../../server/walks/save.js';
import { opened } from '../signups/opened.js';
import { signUpFields } from '../support/sign-up.js';
import { GATHER, HOUR_MS, onTheWalk } from './stage.js';

async function onTheDay() {
  const stage = await onTheWalk();
  stage.site.clock.now = GATHER - 60_000;
  const sheet = async (visitor: 'leader' | 'co-leader' | 'coordinator' = 'leader') =>
    stage.cast.browser(visitor).get(`/lead/walks/${stage.cast.walkId}/pack`);
  return { ...stage, sheet };
}

it('if the opening cannot be written down, nothing is shown', async () => {
  const { site, sheet } = await onTheDay();
  expect((await sheet()).text).toContain('carries an inhaler');
  site.db.raw.exec("CREATE TEMP TRIGGER full BEFORE INSERT ON main.audit_log BEGIN SELECT RAISE(ABORT, 'the disk is full'); END");
  const refused = await sheet();
  expect(refused.status).toBe(500);
  expect(refused.text).not.toMatch(/carries an inhaler|the disk is full/);
  expect(site.log.splice(0)).toHaveLength(1);
});

it('a value that was moved or damaged does not open, and the page works for the others', async () => {
  const { site, sheet, ids } = await onTheDay();
  site.db.raw
    .prepare('UPDATE emergency_contacts SET sealed = (SELECT sealed FROM emergency_contacts WHERE member_id = ?) WHERE member_id = ?')
    .run(ids.kim, ids.ana);
  const { status, text } = await sheet();
  expect(status).toBe(200);
  expect(text).toMatch(/<b>Ana Ferreira<\/b><\/td><td>Cannot be opened: ask on the day/);
  expect(text).toContain('bee stings');
  expect(text).not.toContain('carries an inhaler');
  expect(site.log.splice(0).join()).toContain('does not open');
});

it('lists minors under their guardians and who left no contact, and not who waits', async () => {
  const { sheet } = await onTheDay();
  const { text } = await sheet();
  expect(text).toMatch(/<td>1<\/td><td><b>Ana Ferreira<\/b>/);
  expect(text).toMatch(/<td>2<\/td><td class="minor"><b>Kim Ferreira<\/b><br><span[^>]*>under 18, with Ana Ferreira/);
  expect(text).toMatch(/<td>3<\/td><td><b>Bea Ferreira/);
  expect(text).toMatch(/<td>4<\/td><td><b>Bo Falk<\/b><\/td><td>None yet: ask on the day/);
  expect(text).not.toMatch(/Wil Tarn|left knee/);
});

it('carries contacts within the window only, for leaders only, each time written down', async () => {
  const { site, cast, sheet, openings } = await onTheDay();
  site.clock.now = GATHER - 24 * HOUR_MS - 1;
  expect((await sheet()).text).not.toContain('Rui Ferreira');
  site.clock.now += 1;
  expect((await sheet('co-leader')).text).toContain('Rui Ferreira');
  expect((await sheet('coordinator')).text).not.toContain('Rui Ferreira');
  site.clock.now = GATHER + 72 * HOUR_MS;
  expect((await sheet()).text).not.toContain('Rui Ferreira');
  expect(openings().map((row) => [row.personId, row.detail.why])).toEqual([[cast.ids['co-leader'], 'sign-in sheet']]);
});

it('a cancelled walk opens nothing', async () => {
  const { site, cast, sheet } = await onTheDay();
  cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
  expect((await sheet()).text).not.toContain('carries an inhaler');
});

it('whoever does not come any more leaves no contact behind', async () => {
  const { site, nobody, at } = await opened();
  const answer = await nobody.post(at, signUpFields());
  expect(site.db.q.select().from(emergencyContacts).all()).toHaveLength(1);
  await nobody.post(`${answer.headers.location}/withdraw`);
  expect(site.db.q.select().from(emergencyContacts).all()).toEqual([]);
});

it('the same form sent again opens the private page for ten minutes, and then no more', async () => {
  const { site, nobody, at } = await opened();
  const link = (await nobody.post(at, signUpFields())).headers.location;
  site.clock.now += 10 * 60_000 - 1;
  expect((await nobody.post(at, signUpFields())).headers.location).toBe(link);
  site.clock.now += 1;
  expect((await nobody.post(at, signUpFields())).status).toBe(422);
});
