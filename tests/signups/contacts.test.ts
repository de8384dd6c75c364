import { expect, it } from 'vitest';
import { emergencyContacts } from '../../server/db/schema/index.js';
import { cancelWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';
import { opened } from './opened.js';

const NOTE = 'carries an inhaler';
const fields = (changed: Record<string, string> = {}) => signUpFields({ 'members[0][note]': NOTE, ...changed });

async function onTheDay(capacity = 12) {
  const stage = await opened(capacity);
  const answer = await stage.nobody.post(stage.at, fields());
  const sheet = async () => {
    stage.site.clock.now = walkFacts().gatherAt - 60_000;
    return stage.cast.browser('leader').get(`/lead/walks/${stage.walkId}/pack`);
  };
  return { ...stage, sheet, link: answer.headers.location ?? '' };
}

it('if the opening cannot be written down, nothing is shown', async () => {
  const { site, sheet } = await onTheDay();
  expect((await sheet()).text).toContain(NOTE);
  site.db.raw.exec("CREATE TEMP TRIGGER full BEFORE INSERT ON main.audit_log BEGIN SELECT RAISE(ABORT, 'the disk is full'); END");
  const refused = await sheet();
  expect(refused.status).toBe(500);
  expect(refused.text).not.toMatch(new RegExp(`${NOTE}|the disk is full`));
  expect(site.log.splice(0)).toHaveLength(1);
});

it('a value that was moved or damaged does not open, and the page works for the others', async () => {
  const { site, sheet, nobody, at } = await onTheDay();
  const name = 'Bea Birch';
  await nobody.post(
    at,
    fields({
      name,
      email: 'bea@walkers.example',
      'members[0][name]': name,
      'members[0][signature]': name,
      'members[0][note]': 'left knee',
    }),
  );
  site.db.raw.exec(
    'UPDATE emergency_contacts SET sealed = (SELECT sealed FROM emergency_contacts WHERE member_id = 2) WHERE member_id = 1',
  );
  const { status, text } = await sheet();
  expect(status).toBe(200);
  expect(text).toContain('Cannot be opened');
  expect(text).toContain('left knee');
  expect(text).not.toContain(NOTE);
  expect(site.log.splice(0).join()).toContain('does not open');
});

it('a cancelled walk opens nothing, and who waits is not on the sheet', async () => {
  const { site, cast, walkId, sheet, nobody, at } = await onTheDay(1);
  await nobody.post(
    at,
    fields({
      name: 'Bea Birch',
      email: 'bea@walkers.example',
      'members[0][name]': 'Bea Birch',
      'members[0][signature]': 'Bea Birch',
      'members[0][note]': 'left knee',
    }),
  );
  expect((await sheet()).text).not.toContain('left knee');
  cancelWalk(site.services, walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
  expect((await sheet()).text).not.toContain(NOTE);
});

it('whoever does not come any more leaves no contact behind', async () => {
  const { site, nobody, link } = await onTheDay();
  expect(site.db.q.select().from(emergencyContacts).all()).toHaveLength(1);
  await nobody.post(`${link}/withdraw`);
  expect(site.db.q.select().from(emergencyContacts).all()).toEqual([]);
});

it('the same form sent again opens the private page for ten minutes, and then no more', async () => {
  const { site, nobody, at, link } = await onTheDay();
  site.clock.now += 10 * 60_000 - 1;
  expect((await nobody.post(at, fields())).headers.location).toBe(link);
  site.clock.now += 1;
  expect((await nobody.post(at, fields())).status).toBe(422);
});
