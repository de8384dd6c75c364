import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { emergencyContacts, partyMembers } from '../../server/db/schema/index.js';
import { cancelWalk } from '../../server/walks/save.js';
import { opened } from '../signups/opened.js';
import { signUpFields } from '../support/sign-up.js';
import { GATHER, HOUR_MS, onTheWalk } from './stage.js';

async function onTheDay() {
  const stage = await onTheWalk();
  stage.site.clock.now = GATHER - 60_000;
  /** The pack's lists with emergency contacts, by the button. */
  const sheet = async (visitor: 'leader' | 'co-leader' | 'coordinator' = 'leader') =>
    stage.cast.browser(visitor).post(`/lead/walks/${stage.cast.walkId}/pack/contacts`, { part: ['sheet', 'list'] });
  return { ...stage, sheet };
}

const LEADERS_PART = '<h2>For the leader only: do not pass round</h2>';
const passedRound = (text: string) => text.slice(text.indexOf('<div class="pack">'), text.indexOf(LEADERS_PART));
const leaderPart = (text: string) => text.slice(text.indexOf(LEADERS_PART));

it('what is passed round carries no contact, no note, no phone of a walker and no choice about pictures', async () => {
  const { site, sheet, ids } = await onTheDay();
  site.db.write((tx) => tx.update(partyMembers).set({ photos: true }).where(eq(partyMembers.id, ids.ana)).run());
  const { text } = await sheet();
  const round = passedRound(text);
  expect(round).toMatch(/<th[^>]*>No\.<\/th><th[^>]*>Name<\/th><th[^>]*>Waiver<\/th><th[^>]*>Signature<\/th>/);
  expect(round).toMatch(/Ana Ferreira<\/b><\/td><td class="nowrap"><b>to sign<\/b><\/td><td class="sign"><\/td>/);
  expect(round.match(/class="blank"/g)).toHaveLength(8);
  expect(round).not.toMatch(/Rui|inhaler|bee stings|0188|0123|Pictures/);
  const own = leaderPart(text);
  expect(own).toMatch(/Ana Ferreira<\/b> <a class="phone" href="tel:\+12025550123">[^\n]*<\/a><br><span[^>]*>Pictures: yes\.<\/span>/);
  expect(own).toMatch(/Bea Ferreira<\/b>[^\n]*>Phone of Ana Ferreira, who booked\. <\/span>/);
  expect(own).toMatch(/Kim Ferreira<\/b>[^\n]*>under 18, with Ana Ferreira\. Phone of Ana Ferreira, who booked\. <\/span>/);
  expect(own).toMatch(
    /Rui Ferreira \(brother\) <b><a class="phone" href="tel:\+12025550188">\+1 202 555 0188<\/a><\/b><br><b>To know:<\/b> carries an inhaler/,
  );
  expect(own).not.toContain('Signature');
});

describe('merely looking at the pack', () => {
  const CONTACT = /Rui Ferreira|inhaler|bee stings/;

  it('opens nothing, whoever asks and however; a button offers them', async () => {
    const { site, cast, openings } = await onTheDay();
    const lead = cast.browser('leader');
    const at = `/lead/walks/${cast.walkId}/pack`;
    for (const url of [at, `${at}?part=list`, `${at}?set=everything&made=1`, `${at}?contacts=yes`]) {
      const answer = await site.app.inject({ method: 'GET', url, headers: { cookie: lead.cookie, 'sec-fetch-site': 'same-origin' } });
      expect([url, answer.statusCode, CONTACT.test(answer.body)]).toEqual([url, 200, false]);
      expect(answer.body).toContain('<b>Without emergency contacts.</b>');
      expect(answer.body).toContain(`formaction="${at}/contacts"`);
    }
    // Reloading what the button showed, in another tab, leads back to the pack without them.
    const again = await lead.get(`${at}/contacts`);
    expect([again.status, again.headers.location]).toEqual([303, at]);
    expect(openings()).toEqual([]);
    expect(site.db.raw.prepare('SELECT count(*) FROM packs').pluck().get()).toBe(0);
  });

  it('offers none outside the window, nor to a coordinator', async () => {
    const { site, cast } = await onTheDay();
    const at = `/lead/walks/${cast.walkId}/pack`;
    const coordinator = (await cast.browser('coordinator').get(at)).text;
    expect(coordinator).not.toContain('formaction');
    expect(coordinator).toContain('only for the walk&#x27;s own leaders');
    site.clock.now = GATHER + 72 * HOUR_MS;
    const { text } = await cast.browser('leader').get(at);
    expect(text).toContain('Closed since Tue, Dec 8, 2026');
    expect(text).not.toContain('formaction');
  });
});

it('sent again, as browsers do on reloading, it is written down again', async () => {
  const { sheet, openings } = await onTheDay();
  await sheet();
  await sheet();
  expect(openings()).toHaveLength(2);
});

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
  expect(leaderPart(text)).toMatch(/<b>Ana Ferreira<\/b>[^\n]*<\/td><td>Cannot be opened: ask on the day/);
  expect(text).toContain('bee stings');
  expect(text).not.toContain('carries an inhaler');
  expect(site.log.splice(0).join()).toContain('does not open');
});

it('lists minors under their guardians and who left no contact, and not who waits', async () => {
  const { sheet } = await onTheDay();
  const { text } = await sheet();
  for (const part of [passedRound(text), leaderPart(text)]) {
    expect(part).toMatch(/<td>1<\/td><td><b>Ana Ferreira<\/b>/);
    expect(part).toMatch(/<td>2<\/td><td class="minor"><b>Kim Ferreira<\/b>[^\n]*?<br><span[^>]*>under 18, with Ana Ferreira/);
    expect(part).toMatch(/<td>3<\/td><td><b>Bea Ferreira/);
  }
  expect(leaderPart(text)).toMatch(/<td>4<\/td><td><b>Bo Falk<\/b>[^\n]*<\/td><td>None yet: ask on the day/);
  expect(text).not.toMatch(/Wil Tarn|left knee/);
});

it('carries contacts within the window only, for leaders only, each time written down', async () => {
  const { site, cast, sheet, openings } = await onTheDay();
  site.clock.now = GATHER - 24 * HOUR_MS - 1;
  const refused = await sheet();
  expect([refused.status, refused.text.includes('Rui Ferreira')]).toEqual([403, false]);
  expect(refused.text).toMatch(/Emergency details open Fri, Dec 4, 2026, 8:45.AM EST\./);
  site.clock.now += 1;
  expect((await sheet('co-leader')).text).toContain('Rui Ferreira');
  expect((await sheet('coordinator')).text).not.toContain('Rui Ferreira');
  site.clock.now = GATHER + 72 * HOUR_MS;
  expect((await sheet()).text).not.toContain('Rui Ferreira');
  expect(openings().map((row) => [row.personId, row.detail.reason])).toEqual([[cast.ids['co-leader'], 'sheet']]);
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
