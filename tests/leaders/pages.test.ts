import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { partyMembers, people, walkLeaders } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import { cancelWalk, saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { HOUR_MS, layParty, onTheWalk } from '../contacts/stage.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpForm } from '../support/sign-up.js';

async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  return { site, cast, lead: cast.browser('leader'), coordinator: cast.browser('coordinator') };
}

it("names who leads a coming walk that one only shares, on one's own walks", async () => {
  const { site, cast } = await opened();
  const { 'other leader': other } = cast.ids;
  site.db.write((tx) => tx.insert(walkLeaders).values({ walkId: cast.walkId, personId: other, part: 'co-leader' }).run());
  expect((await cast.browser('other leader').get('/lead')).text).toContain('with Lena Marsh');
  expect((await cast.browser('leader').get('/lead')).text).not.toContain('>with ');
});

describe('standing a leader down', () => {
  it('asks first, then names the walks that need a leader', async () => {
    const { cast, coordinator } = await opened();
    const address = `/coordinate/leaders/${cast.ids.leader}/stand-down`;
    expect((await coordinator.get('/coordinate/leaders')).text).not.toContain(`action="${address}"`);
    const asked = (await coordinator.get(`/coordinate/leaders?stand-down=${cast.ids.leader}`)).text;
    expect(asked).toContain('Stand Lena Marsh down?');
    expect(asked).toContain('They lead 1 coming walk,');
    expect(asked).toContain(`action="${address}"`);
    const answer = await coordinator.post(address);
    expect(answer.headers.location).toBe(`/coordinate/leaders?done=${cast.ids.leader}`);
    const done = (await coordinator.get(answer.headers.location ?? '')).text;
    expect(done).toContain('Lena Marsh is stood down.');
    expect(done).toContain(`<a href="/lead/walks/${cast.walkId}/together">Quarry Lakes loop, Sat, Dec 5</a>`);
    const row = done.slice(done.indexOf('>Lena Marsh</a><small'));
    expect(row.slice(0, row.indexOf('</tr>'))).toMatch(/unpledged">stood down/);
  });

  it('leaves their coming walks on the board until they are cancelled', async () => {
    const { site, cast, coordinator } = await opened();
    expect((await coordinator.get('/coordinate')).text).not.toContain('Walks without a leader');
    await coordinator.post(`/coordinate/leaders/${cast.ids.leader}/stand-down`);
    const { text } = await coordinator.get('/coordinate');
    expect(text).toContain('Walks without a leader');
    expect(text).toContain(`href="/lead/walks/${cast.walkId}/together"`);
    expect(text).toContain('Lena Marsh leads no walks any more. Shared by Coe Lindgren.');
    expect(text).not.toContain(`href="/lead/walks/${cast.draftId}/together"`);
    expect(text).toMatch(/<details class="note danger" open>\s*<summary>Walks without a leader: 1, on Sat, Dec 5</);
    cancelWalk(site.services, cast.walkId, cast.ids.coordinator, { kind: 'other', reason: 'No leader' });
    expect((await coordinator.get('/coordinate')).text).not.toContain('Walks without a leader');
  });
});

it('a new leader is asked for nothing in the month they start', async () => {
  const { coordinator } = await opened();
  const fields = { name: 'Nora Quist', email: 'nora@waymeet.example', phone: '(202) 555-0177', area: 'lantern-hills', pledge: '2' };
  expect((await coordinator.post('/coordinate/leaders', fields)).status).toBe(303);
  const { text } = await coordinator.get('/coordinate/leaders');
  const row = text.slice(text.indexOf('>Nora Quist<'));
  const states = [...row.slice(0, row.indexOf('</tr>')).matchAll(/class="state ([^"]+)">([^<]+)/g)].map((found) => found.slice(1));
  expect(states.slice(5, 9)).toEqual([
    ['unpledged', 'no promise yet'],
    ['unpledged', 'no promise yet'],
    ['short-plain', '2 to post'],
    ['short-plain', '2 to post'],
  ]);
});

describe('the board', () => {
  it('leads a coordinator who also leads to a filled form, and another to the proposals', async () => {
    const { site, cast, coordinator } = await opened();
    expect((await coordinator.get('/coordinate')).text).toMatch(
      /<a class="button no-print" href="\/coordinate\/proposals\?from&#x3D;2026-1\d&amp;months&#x3D;1&amp;area&#x3D;[a-z-]+&amp;need&#x3D;[\d+-]+">Ask</,
    );
    site.db.write((tx) => tx.update(people).set({ coordinator: true }).run());
    const { text } = await cast.browser('leader').get('/coordinate');
    expect(text).toContain('href="/lead/walks/new?area&#x3D;lantern-hills&amp;date&#x3D;2027-01-02"');
  });
});

describe("a leader's own walks", () => {
  it('link each need to a form filled with area and date', async () => {
    const { lead } = await opened();
    expect((await lead.get('/lead')).text).toContain('/lead/walks/new?area&#x3D;lantern-hills&amp;date&#x3D;2027-01-02');
  });

  it('forget a discarded draft, and give the year of a far day', async () => {
    const { site, cast, lead } = await opened();
    expect((await lead.get('/lead')).text).toContain('Ridge in progress');
    cancelWalk(site.services, cast.draftId, cast.ids.leader, { kind: 'other', reason: 'Not now' });
    saveNewWalk(site.services, walkFacts({ date: '2027-11-07' }), cast.ids.leader, 'posted');
    const { text } = await lead.get('/lead');
    expect(text).not.toContain('Ridge in progress');
    expect(text).toContain('Sun, Nov 7, 2027');
  });
});

describe("the leader's page of a walk", () => {
  it('of a draft speaks of nobody and of discarding; once discarded it links to no public page', async () => {
    const { site, cast, lead } = await opened();
    const draft = (await lead.get(`/lead/walks/${cast.draftId}`)).text;
    expect(draft).toContain('Discard the draft');
    expect(draft).not.toMatch(/Who comes|Notices|Cancel the walk|Public page/);
    expect((await lead.get(`/lead/walks/${cast.walkId}`)).text).toMatch(/Cancel the walk[\s\S]*Public page[\s\S]*Who comes[\s\S]*Notices/);
    cancelWalk(site.services, cast.draftId, cast.ids.leader, { kind: 'other', reason: 'Not now' });
    const gone = (await lead.get(`/lead/walks/${cast.draftId}`)).text;
    expect(gone).toContain('This draft was discarded.');
    expect(gone).not.toMatch(/Public page|Who comes|Had signed up/);
  });

  it('names a party only where it is not the one who booked, and spaces every phone', async () => {
    const { site, cast, lead } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    layParty(site, cast.walkId, [
      { name: 'Bo Falk', note: '' },
      { name: 'Kim Falk', note: '' },
    ]);
    const { text } = await lead.get(`/lead/walks/${cast.walkId}`);
    expect(text.match(/Ana Ferreira/g)).toHaveLength(2); // once among the people, once among the notices
    expect(text).toContain('on their own');
    expect(text).toContain('<li>Kim Falk');
    expect(text).toContain('+1 202 555 0123');
    expect(text).not.toContain('(202)');
    expect(text).toContain('<li>Confirmation: <b>1</b> waiting to go</li>');
    cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'other', reason: 'Ill' });
    expect((await lead.get(`/lead/walks/${cast.walkId}`)).text).toContain('Had signed up: 3 of 12');
  });

  it('puts minors under their guardians, and marks what is missing', async () => {
    const { site, cast, ids } = await onTheWalk();
    site.db.write((tx) => tx.update(partyMembers).set({ email: 'bo@home.example', photos: true }).where(eq(partyMembers.id, ids.bo)).run());
    const { text } = await cast.browser('leader').get(`/lead/walks/${cast.walkId}`);
    expect(text).toMatch(
      /<li>Ana Ferreira <span class="flag caution">waiver to sign<\/span><\/li><li class="minor">Kim Ferreira, <span[^>]*>under 18, with Ana Ferreira[\s\S]*<li>Bea Ferreira/,
    );
    expect(text).toMatch(/may be pictured<\/span> <span[^>]*>asked by mail to sign<\/span> <span[^>]*>no emergency contact yet/);
    expect(text.match(/no emergency contact yet|may be pictured/g)).toHaveLength(2);
    expect(text).toContain(`<a href="/lead/walks/${cast.walkId}/waivers">4 waivers to sign</a>`);
    site.db.write((tx) => tx.update(partyMembers).set({ guardianId: null }).where(eq(partyMembers.id, ids.kim)).run());
    expect((await cast.browser('leader').get(`/lead/walks/${cast.walkId}`)).text).toContain('no guardian in the party');
  });

  it('says who has come of age by the day of the walk, until they have signed', async () => {
    const { site, cast, ids } = await onTheWalk();
    const says = async (adultOn: string) => {
      site.db.write((tx) => tx.update(partyMembers).set({ adultOn }).where(eq(partyMembers.id, ids.kim)).run());
      const { text } = await cast.browser('leader').get(`/lead/walks/${cast.walkId}`);
      return /<li[^>]*>Kim Ferreira(.*?)<\/li>/.exec(text)?.[1]?.replace(/<[^>]*>/g, '');
    };
    expect(await says('2026-12-06')).toBe(', under 18, with Ana Ferreira waiver to sign');
    expect(await says('2026-12-05')).toBe(' 18 by then: signs for themself');
  });

  it('keeps the length of its heading on one line', async () => {
    const { cast, lead } = await opened();
    const headings = ['', '/pack', '/contacts'].map(
      async (at) => /<h1>(.*?)<\/h1>/.exec((await lead.get(`/lead/walks/${cast.walkId}${at}`)).text)?.[1],
    );
    const walk = '<span class="nowrap">8-mile</span> walk: Quarry Lakes loop, Lantern Hills';
    expect(await Promise.all(headings)).toEqual([walk, `Day pack: ${walk}`, `Emergency details: ${walk}`]);
  });

  it('says when emergency details open, until when they are open, and asks for none afterwards', async () => {
    const { site, cast } = await onTheWalk();
    const { gatherAt } = walkFacts();
    const line = async (visitor: 'leader' | 'coordinator' = 'leader') => {
      const { text } = await cast.browser(visitor).get(`/lead/walks/${cast.walkId}`);
      return {
        missing: text.includes('no emergency contact yet'),
        says: /Emergency details<\/a>: (.*?)\.<\/p>/.exec(text)?.[1]?.replace(/<[^>]*>/g, ''),
      };
    };
    expect(await line()).toEqual({ missing: true, says: expect.stringMatching(/^open from Fri, Dec 4, 8:45.AM EST$/) });
    site.clock.now = gatherAt;
    expect(await line()).toEqual({ missing: true, says: expect.stringMatching(/^open until Tue, Dec 8, 8:45.AM EST$/) });
    expect((await line('coordinator')).says).toBe('of one person, for an incident');
    site.clock.now = gatherAt + 72 * HOUR_MS;
    expect(await line()).toEqual({ missing: false, says: expect.stringMatching(/^closed since/) });
  });

  it('lets the leader send again what failed', async () => {
    const { site, cast, lead } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    site.db.raw.prepare("UPDATE notices SET state = 'failed', last_error = 'mailbox full', ended_at = ?").run(site.clock.now);
    const { text } = await lead.get(`/lead/walks/${cast.walkId}`);
    const action = /action="(\/lead\/walks\/\d+\/notices\/\d+\/again)"/.exec(text)?.[1] ?? '';
    expect((await lead.post(action)).status).toBe(303);
    expect((await lead.get(`/lead/walks/${cast.walkId}`)).text).not.toContain('Some mail did not arrive');
  });

  it('says after saving how many will be told, and when', async () => {
    const { site, cast, lead } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    site.db.raw.prepare("UPDATE notices SET state = 'sent', ended_at = ?").run(site.clock.now);
    site.db.raw.prepare('UPDATE sign_ups SET told_version = 1').run();
    expect((await lead.get(`/lead/walks/${cast.walkId}?saved=1`)).text).toMatch(/<b>Saved\.<\/b><\/p>/);
    const version = walkById(site.db.q, cast.walkId)?.version ?? 0;
    const facts = walkFacts({ gather: '08:30' });
    saveEdit(site.services, { walkId: cast.walkId, opened: version, facts, by: cast.ids.leader, tell: true, post: false });
    const { text } = await lead.get(`/lead/walks/${cast.walkId}?saved=1`);
    expect(text).toMatch(/<b>Saved\.<\/b> 1 person will be told at <time[^>]*>7:03.AM EST<\/time>\./);
    expect((await lead.get(`/lead/walks/${cast.walkId}`)).text).not.toContain('Saved.');
  });
});

it('the sign-in sheet carries the directions, a turn a line, and phones that do not break', async () => {
  const { site, cast, lead } = await opened();
  const facts = walkFacts({ directions: 'Left at the weir\nOver the bridge' });
  const id = saveNewWalk(site.services, facts, cast.ids.leader, 'posted');
  site.services.db.write((tx) => keepSignUp(tx, site.services, id, signUpForm()));
  site.clock.now = facts.gatherAt - 60_000;
  const { text } = await lead.post(`/lead/walks/${id}/pack/contacts`, { part: ['sheet', 'list', 'way'] });
  expect(text).toContain('<li>Left at the weir</li><li>Over the bridge</li>');
  expect(text).toContain('<a class="phone" href="tel:+12025550188">+1 202 555 0188</a>');
  expect(text).toContain('<span class="nowrap">+1 202 555 0110</span>');
});
