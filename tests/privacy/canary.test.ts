import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { emergencyContacts, keptContacts, notices } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { signingToken } from '../../server/signups/link.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast, VISITORS, type VisitorName, walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;
/** What nobody may find where it does not belong, in every way it could be written. */
const CANARIES = [/202\D{0,3}555\D{0,3}0147/, /Canarina/, /yellowfinch/i];

let folder: string;
let site: TestSite;
let cast: Cast;
/** The private address of the sign-up. */
let own: string;

/** Ana, signed in, books for herself and for Ben, who is to sign by a link; the canaries are her emergency contact, kept for next time, too. */
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'waymeet-canary-'));
  site = await openSite({ LOG_LEVEL: 'trace', DATA_DIR: folder });
  cast = layCast(site);
  const fields = signUpFields({
    email: 'walker@waymeet.example',
    'members[0][contactName]': 'Canarina Feather',
    'members[0][contactPhone]': '(202) 555-0147',
    'members[0][note]': 'yellowfinch allergy',
    keepContacts: 'yes',
    'members[1][name]': 'Ben Birch',
    'members[1][email]': 'ben@walkers.example',
  });
  const browser = cast.browser('walker');
  // Refused once, so that an error page has seen them; then kept.
  expect((await browser.post(`/walks/${cast.walkId}/sign-up`, { ...fields, agreeRules: '' })).status).toBe(422);
  const answer = await browser.post(`/walks/${cast.walkId}/sign-up`, fields);
  expect(answer.status).toBe(303);
  own = answer.headers.location ?? '';
  expect(site.db.q.select().from(emergencyContacts).all()).toHaveLength(1);
  expect(site.db.q.select().from(keptContacts).all()).toHaveLength(1);
});

afterEach(() => {
  site.log.splice(0);
  rmSync(folder, { recursive: true, force: true });
});

const found = (text: string) => CANARIES.filter((canary) => canary.test(text)).map(String);

/** The bytes of the database file and its write-ahead log, as text that keeps each byte. */
function bytes(): string {
  const file = site.db.raw.name;
  return [file, `${file}-wal`].map((path) => (existsSync(path) ? readFileSync(path, 'latin1') : '')).join('\n');
}

/** Every address that answers a GET, with numbers and secrets filled in. */
function addresses(): string[] {
  const token = own.replace('/sign-ups/', '');
  const signing = signingToken(site.services.sealer, 2, 'ben@walkers.example');
  const filled = (route: string) =>
    route
      .replace('/walks/:walk(^\\d+).ics', `/walks/${cast.walkId}.ics`)
      .replace('/sign-ups/:token', `/sign-ups/${token}`)
      .replace('/waivers/:token', `/waivers/${signing}`)
      .replace(':token', 'unknown')
      .replace(':walk', String(cast.walkId))
      .replace(':area', 'lantern-hills')
      .replace(':kind', 'waiver')
      .replace(/:\w+/g, '1');
  const routes = site.app.routeTable.filter((route) => route.startsWith('GET ')).map((route) => filled(route.slice(4)));
  const mails = site.db.q.select({ id: notices.id }).from(notices).all();
  return [...routes, ...mails.map(({ id }) => `/coordinate/mail/${id}`), '/nowhere', `${own}x`, `${own}?withdraw=1`];
}

/** "leader GET /lead/walks/1/pack" for each page on which a canary was seen. */
async function seenOnPages(): Promise<string[]> {
  const seen: string[] = [];
  for (const visitor of VISITORS)
    for (const address of addresses()) {
      const answer = await cast.browser(visitor).get(address);
      expect([visitor, address, answer.status < 500]).toEqual([visitor, address, true]);
      if (found(answer.text ?? String(answer.body)).length > 0) seen.push(`${visitor} ${address}`);
    }
  return seen;
}

const posted = async (visitor: VisitorName, path: string, fields: Record<string, string> = {}) =>
  found((await cast.browser(visitor).post(path, fields)).text ?? '').length > 0;

/** Each asks every page there is, as everyone. */
describe('an emergency contact', { timeout: 60_000 }, () => {
  it('is in no file, no log, no mail and no backup', async () => {
    await seenOnPages();
    expect(found(bytes())).toEqual([]);
    site.db.raw.pragma('wal_checkpoint(TRUNCATE)');
    expect(found(bytes())).toEqual([]);
    site.db.raw.prepare('VACUUM INTO ?').run(join(folder, 'backup.db'));
    expect(found(readFileSync(join(folder, 'backup.db'), 'latin1'))).toEqual([]);
    expect(site.log.length).toBeGreaterThan(0);
    expect(found(site.log.join('\n'))).toEqual([]);
    const { make } = mailMaker(site.services, site.views);
    const rows = site.db.q.select().from(notices).all();
    expect(rows.length).toBeGreaterThan(1);
    for (const row of rows) expect(found(JSON.stringify([row, make(row)]))).toEqual([]);
  });

  it('is on no page of anyone before the window', async () => {
    site.clock.now = walkFacts().gatherAt - 24 * HOUR_MS - 1;
    expect(await seenOnPages()).toEqual([]);
    for (const visitor of VISITORS)
      expect([visitor, await posted(visitor, `/lead/walks/${cast.walkId}/contacts`, { reason: 'hurt' })]).toEqual([visitor, false]);
  });

  it("is on the sheet of the walk's own leaders within the window, and behind a reason; for a coordinator behind what happened", async () => {
    site.clock.now = walkFacts().gatherAt - 24 * HOUR_MS;
    const sheet = `/lead/walks/${cast.walkId}/pack/contacts`;
    expect(await seenOnPages()).toEqual([]);
    const open = `/lead/walks/${cast.walkId}/contacts`;
    for (const [address, fields] of [
      [open, { reason: 'hurt' }],
      [sheet, { part: 'sheet' }],
    ] as const) {
      const outcome: Record<string, boolean> = {};
      for (const visitor of VISITORS) outcome[visitor] = await posted(visitor, address, { ...fields });
      expect([address, outcome]).toEqual([
        address,
        {
          nobody: false,
          walker: false,
          'other walker': false,
          leader: true,
          'other leader': false,
          'co-leader': true,
          coordinator: false,
        },
      ]);
    }
    expect(await posted('coordinator', open, { member: '1', why: 'She fell on the weir steps.' })).toBe(true);
    expect(found(bytes())).toEqual([]);
    expect(found(site.log.join('\n'))).toEqual([]);
  });

  it('is closed again after the window, and never shown to those who booked or were asked to sign', async () => {
    site.clock.now = walkFacts().gatherAt + 72 * HOUR_MS;
    expect(await seenOnPages()).toEqual([]);
    expect(await posted('leader', `/lead/walks/${cast.walkId}/contacts`, { reason: 'hurt' })).toBe(false);
  });

  it('is given out to the walker themself, who asks for all that is held, and to nobody else', async () => {
    for (const visitor of VISITORS) expect([visitor, await posted(visitor, '/me/export')]).toEqual([visitor, visitor === 'walker']);
  });

  it('is gone after its time, ciphertext and all, and so is what was kept for next time', async () => {
    const sealed = [...site.db.q.select().from(emergencyContacts).all(), ...site.db.q.select().from(keptContacts).all()].map((row) =>
      row.sealed.toString('latin1'),
    );
    site.db.raw.pragma('wal_checkpoint(TRUNCATE)');
    expect(sealed.map((value) => bytes().includes(value))).toEqual([true, true]);
    site.clock.now = walkFacts().gatherAt + 400 * DAY_MS;
    await forgetOnTime(site.services);
    expect(sealed.map((value) => bytes().includes(value))).toEqual([false, false]);
    expect(await seenOnPages()).toEqual([]);
    expect(await posted('coordinator', `/lead/walks/${cast.walkId}/contacts`, { member: '1', why: 'She fell on the weir steps.' })).toBe(
      false,
    );
    expect(await posted('walker', '/me/export')).toBe(false);
  });
});
