import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openingsOf } from '../../server/contacts/openings.js';
import { forgetContacts, keepContact } from '../../server/contacts/sealed.js';
import { emergencyContacts, people } from '../../server/db/schema/index.js';
import { cancelWalk } from '../../server/walks/save.js';
import { VISITORS, type VisitorName } from '../support/cast.js';
import { contact } from '../support/sign-up.js';
import { GATHER, HOUR_MS, onTheWalk } from './stage.js';

const HURT = { reason: 'hurt', why: '', member: '' };
const BEFORE = GATHER - 24 * HOUR_MS - 1;
const AFTER = GATHER + 72 * HOUR_MS;
const NOTES = /carries an inhaler|bee stings|left knee/;

describe('who may open, and when', () => {
  const rows: [string, number, Record<string, string>, (number | 'in')[]][] = [
    // nobody, walker, other walker, leader, other leader, co-leader, coordinator
    ['before, with a reason', BEFORE, HURT, ['in', 403, 403, 403, 403, 403, 422]],
    ['within, with a reason', GATHER, HURT, ['in', 403, 403, 200, 403, 200, 422]],
    ['within, without a reason', GATHER, { member: '' }, ['in', 403, 403, 422, 403, 422, 422]],
    ['after, with a reason', AFTER, HURT, ['in', 403, 403, 403, 403, 403, 422]],
    ['before, for an incident', BEFORE, { member: 'ANA', why: 'taken ill on the bus' }, ['in', 403, 403, 403, 403, 403, 200]],
    ['after, for an incident', AFTER, { member: 'ANA', why: 'taken ill on the bus' }, ['in', 403, 403, 403, 403, 403, 200]],
    ['after, for an incident with everyone', AFTER, { member: '', why: 'taken ill on the bus' }, ['in', 403, 403, 403, 403, 403, 422]],
  ];

  it.each(rows)('%s', async (_, now, fields, expected) => {
    const { site, cast, at, ids, openings } = await onTheWalk();
    site.clock.now = now;
    for (const [index, visitor] of VISITORS.entries()) {
      const before = openings().length;
      const answer = await cast.browser(visitor).post(at, { ...fields, member: String(fields.member).replace('ANA', String(ids.ana)) });
      expect([visitor, answer.status === 303 ? 'in' : answer.status]).toEqual([visitor, expected[index]]);
      expect([visitor, NOTES.test(answer.text)]).toEqual([visitor, answer.status === 200]);
      expect(openings().length - before).toBe(answer.status === 200 ? 1 : 0);
    }
  });

  it('a refusal says when they open, or since when they are closed', async () => {
    const { site, cast, at } = await onTheWalk();
    site.clock.now = BEFORE;
    expect((await cast.browser('leader').post(at, HURT)).text).toMatch(/Emergency details open Fri, Dec 4, 2026, 8:45.AM EST\./);
    expect((await cast.browser('leader').get(at)).text).toMatch(/Emergency details open Fri, Dec 4, 2026, 8:45.AM EST\./);
    site.clock.now = AFTER;
    expect((await cast.browser('leader').post(at, HURT)).text).toMatch(/Closed since Tue, Dec 8, 2026, 8:45.AM EST\./);
    site.db.write((tx) => tx.delete(emergencyContacts).run());
    expect((await cast.browser('leader').get(at)).text).toContain('The emergency details of this walk have been removed.');
    expect((await cast.browser('coordinator').get(at)).text).toContain('No emergency contact is kept of anyone');
  });

  it('a coordinator who leads the walk is its leader within the window, and a coordinator outside it', async () => {
    const { site, cast, at, ids } = await onTheWalk();
    site.db.write((tx) => tx.update(people).set({ coordinator: true }).run());
    const both = cast.browser('leader');
    site.clock.now = BEFORE;
    expect((await both.post(at, HURT)).status).toBe(422);
    expect((await both.post(at, { member: String(ids.ana), why: 'taken ill on the bus' })).status).toBe(200);
    site.clock.now = GATHER;
    expect((await both.post(at, HURT)).status).toBe(200);
  });

  it('a cancelled walk opens for its leaders never, and for an incident still', async () => {
    const { site, cast, at, ids } = await onTheWalk();
    cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
    site.clock.now = GATHER;
    const refused = await cast.browser('leader').post(at, HURT);
    expect([refused.status, NOTES.test(refused.text)]).toEqual([403, false]);
    expect(refused.text).toContain('do not open for a cancelled walk');
    expect((await cast.browser('coordinator').post(at, { member: String(ids.ana), why: 'fell on the way' })).text).toMatch(NOTES);
  });
});

describe('the page', () => {
  const within = async (visitor: VisitorName = 'leader') => {
    const stage = await onTheWalk();
    stage.site.clock.now = GATHER;
    return { ...stage, browser: stage.cast.browser(visitor) };
  };

  it('names who is on the walk, minors under their guardians, and who left no contact; it opens nothing', async () => {
    const { at, browser, openings } = await within();
    const { text } = await browser.get(at);
    expect(text).toMatch(
      /Ana Ferreira<\/span>[\s\S]*Kim Ferreira, <span[^>]*>under 18, with Ana Ferreira[\s\S]*Bea Ferreira<\/span>[\s\S]*Bo Falk <span[^>]*>no emergency contact/,
    );
    expect(text).toMatch(/call <a class="call" href="tel:911">911<\/a> first/);
    expect(text).not.toMatch(/Wil Tarn|Rui Ferreira|0188/);
    expect(text).not.toMatch(NOTES);
    expect(openings()).toEqual([]);
  });

  it('shows what was opened, the emergency number first, in an answer that nothing keeps', async () => {
    const { at, browser } = await within();
    const { text, headers } = await browser.post(at, HURT);
    expect(headers['cache-control']).toBe('no-store');
    expect(text.indexOf('tel:911')).toBeLessThan(text.indexOf('Rui Ferreira'));
    expect(text).toContain('In an emergency phone: <b>Rui Ferreira</b> (brother)');
    expect(text).toContain('Each person whose details these are can see that.');
    expect(text).toContain('<a class="call" href="tel:+12025550188">+1 202 555 0188</a>');
    expect(text).toContain('Typed as (202) 555-0188');
    expect(text).toMatch(/<p>Ana Ferreira&#x27;s own phone<br><a class="call" href="tel:\+12025550123">\+1 202 555 0123<\/a>/);
    expect(text).toMatch(/Kim Ferreira<\/h2>[\s\S]*Phone of Ana Ferreira, who booked/);
    expect(text).toMatch(/Bo Falk<\/h2>[\s\S]*No emergency contact is kept/);
    expect(text).not.toContain('left knee');
  });

  it('opens the one person asked for', async () => {
    const { site, cast, at, browser, ids, openings } = await within('co-leader');
    const { text } = await browser.post(at, { ...HURT, why: 'stung', member: String(ids.kim) });
    expect(text).toContain('bee stings');
    expect(text).not.toContain('inhaler');
    expect(text).toMatch(/someone is hurt or ill: stung\. Kim Ferreira can see that\./);
    const detail = { members: [ids.kim], reason: 'hurt', why: 'stung' };
    expect(openings()).toEqual([{ at: GATHER, personId: cast.ids['co-leader'], subject: `walk:${cast.walkId}`, detail }]);
    await browser.post(at, { ...HURT, member: String(ids.kim) });
    expect(openings()).toHaveLength(2);
    expect(site.log).toEqual([]);
  });

  it('whoever is missing is rung themself first; otherwise those at home are', async () => {
    const { at, browser, ids } = await within();
    const order = async (reason: string) => {
      const { text } = await browser.post(at, { reason, member: String(ids.ana) });
      return text.indexOf('own phone') < text.indexOf('In an emergency phone');
    };
    expect([await order('missing'), await order('hurt')]).toEqual([true, false]);
  });

  it('has chosen nobody beforehand, and keeps what was chosen when a reason is missing', async () => {
    const { at, browser, ids } = await within();
    const { text } = await browser.get(at);
    const radios = (page: string) => page.match(/<input type="radio" name="member"[^>]*>/g) ?? [];
    expect(radios(text)).toHaveLength(5);
    expect(radios(text).join()).not.toContain('checked');
    const nothing = await browser.post(at, { asks: 'whose' });
    expect(nothing.status).toBe(422);
    for (const field of ['reason', 'member']) expect(nothing.text).toContain(`href="#${field}"`);
    expect((await browser.post(at, { asks: 'whose', reason: 'hurt' })).text).toContain('Choose one person on this walk, or everyone.');
    for (const member of ['everyone', String(ids.kim)]) {
      const refused = await browser.post(at, { member });
      expect(radios(refused.text).filter((one) => one.includes('checked'))).toEqual([expect.stringContaining(`value="${member}"`)]);
    }
  });

  it('says how many left a contact, before they open', async () => {
    const { site, cast, at, ids } = await onTheWalk();
    const count = async () => (await cast.browser('leader').get(at)).text;
    expect(await count()).toContain('<p>3 of 4 people left an emergency contact.</p>');
    site.db.write((tx) => keepContact(tx, site.services.sealer, ids.bo, contact(), site.clock.now));
    expect(await count()).toContain('<p>Everyone left an emergency contact.</p>');
  });

  it('if the opening cannot be written down, nothing is shown', async () => {
    const { site, at, browser } = await within();
    site.db.raw.exec("CREATE TEMP TRIGGER full BEFORE INSERT ON main.audit_log BEGIN SELECT RAISE(ABORT, 'the disk is full'); END");
    const refused = await browser.post(at, HURT);
    expect(refused.status).toBe(500);
    expect(refused.text).not.toMatch(/inhaler|Rui Ferreira|the disk is full/);
    expect(site.log.splice(0)).toHaveLength(1);
  });

  it('a value that does not open is shown as such and logged, and the others are there', async () => {
    const { site, at, browser, ids } = await within();
    site.db.raw.prepare("UPDATE emergency_contacts SET sealed = x'01' WHERE member_id = ?").run(ids.ana);
    const { status, text } = await browser.post(at, HURT);
    expect(status).toBe(200);
    expect(text).toMatch(/Ana Ferreira<\/h2>\s*<p class="flag danger">What is kept cannot be opened/);
    expect(text).toContain('bee stings');
    expect(site.log.splice(0).join()).toContain('does not open');
  });

  it('whatever a leader posts never answers 500', { timeout: 30_000 }, async () => {
    const { at, browser } = await within();
    const value = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 40 }),
      fc.constantFrom('hurt', 'other', '1', '-1', '1e9', 'x'.repeat(5000)),
    );
    const fields = fc.dictionary(fc.constantFrom('reason', 'why', 'member', 'member[]', 'reason[a]', '__proto__'), value);
    await fc.assert(
      fc.asyncProperty(fields, async (typed) => {
        expect((await browser.post(at, typed)).status).toBeLessThan(500);
      }),
      { numRuns: 40 },
    );
  });
});

describe('who opened what', () => {
  it('is told to the people themselves, the newest first', async () => {
    const { site, cast, at, ids } = await onTheWalk();
    site.clock.now = GATHER;
    await cast.browser('leader').post(`/lead/walks/${cast.walkId}/pack/contacts`, { part: 'list' });
    site.clock.now += 1;
    await cast.browser('leader').post(at, { reason: 'missing', member: String(ids.kim) });
    site.clock.now += 1;
    await cast.browser('coordinator').post(at, { member: String(ids.ana), why: 'fell at the weir' });
    const asked = [ids.ana, ids.kim, ids.bo, ids.wil].map((id) => ({ id, walkId: cast.walkId }));
    expect(openingsOf(site.db.q, asked)).toEqual([
      { memberId: ids.ana, at: GATHER + 2, by: 'Cora Danner', why: 'fell at the weir' },
      { memberId: ids.kim, at: GATHER + 1, by: 'Lena Marsh', why: 'someone is missing' },
      { memberId: ids.ana, at: GATHER, by: 'Lena Marsh', why: 'sign-in sheet' },
      { memberId: ids.kim, at: GATHER, by: 'Lena Marsh', why: 'sign-in sheet' },
    ]);
    expect(openingsOf(site.db.q, [{ id: ids.ana, walkId: cast.draftId }])).toEqual([]);
    expect(openingsOf(site.db.q, [])).toEqual([]);
  });

  it('words about one of several are told to none of them, and kept apart from the reason', async () => {
    const { site, cast, at, ids, openings } = await onTheWalk();
    site.clock.now = GATHER;
    const told = (id: number) => openingsOf(site.db.q, [{ id, walkId: cast.walkId }]).map((one) => one.why);
    const lead = cast.browser('leader');
    await lead.post(at, { reason: 'hurt', why: 'Ana broke her leg' });
    await lead.post(at, { reason: 'other', why: 'Ana is not at the bridge', member: 'everyone' });
    await lead.post(at, { reason: 'other', why: 'asks for her brother', member: String(ids.ana) });
    await lead.post(at, { reason: 'hurt', why: 'a fall', member: String(ids.ana) });
    expect(told(ids.bea)).toEqual(['another reason', 'someone is hurt or ill']);
    expect(told(ids.ana)).toEqual(['someone is hurt or ill: a fall', 'asks for her brother', 'another reason', 'someone is hurt or ill']);
    expect(openings()[0]?.detail).toEqual({
      members: [ids.ana, ids.bea, ids.kim],
      everyone: true,
      reason: 'hurt',
      why: 'Ana broke her leg',
    });
  });

  it('everyone opened stays everyone where only one of them left a contact', async () => {
    const { site, cast, at, ids } = await onTheWalk();
    site.db.write((tx) => forgetContacts(tx, [ids.bea, ids.kim]));
    site.clock.now = GATHER;
    await cast.browser('leader').post(at, { reason: 'hurt', why: 'Bea broke her leg' });
    expect(openingsOf(site.db.q, [{ id: ids.ana, walkId: cast.walkId }])[0]?.why).toBe('someone is hurt or ill');
  });
});
