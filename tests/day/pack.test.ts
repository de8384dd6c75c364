import { expect, it } from 'vitest';
import { partyMembers, turnedUp } from '../../server/db/schema/index.js';
import { cancelWalk, saveEdit } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { GATHER, HOUR_MS, layParty, onTheWalk } from '../contacts/stage.js';
import { walkFacts } from '../support/cast.js';

async function onTheDay() {
  const stage = await onTheWalk();
  stage.site.clock.now = GATHER - 2 * HOUR_MS;
  const walk = `/lead/walks/${stage.cast.walkId}`;
  const lead = stage.cast.browser('leader');
  await lead.get(walk);
  const made = () => stage.site.db.raw.prepare('SELECT by_person_id, version, parts, contacts, list, digest FROM packs ORDER BY id').all();
  const says = async () => /<p class="note[^>]*>[^\n]*Printed.*?<\/p>/.exec((await lead.get(walk)).text)?.[0]?.replace(/<[^>]*>/g, '');
  return { ...stage, walk, lead, made, says };
}

it('looking at a pack keeps nothing; making it does, once a press, without a name', async () => {
  const { walk, lead, made, cast, ids, site } = await onTheDay();
  for (const at of ['/pack', '/pack?set=back', '/pack?part=sheet&made=1']) expect((await lead.get(walk + at)).status).toBe(200);
  expect(made()).toEqual([]);
  const answer = await lead.post(`${walk}/pack`, { part: ['way', 'sheet'], blank: '2' });
  expect([answer.status, answer.headers.location]).toEqual([303, `${walk}/pack?part=sheet&part=way&made=1`]);
  expect(made()).toEqual([
    {
      by_person_id: cast.ids.leader,
      version: walkById(site.db.q, cast.walkId)?.version,
      parts: '["sheet","way"]',
      contacts: 0,
      list: JSON.stringify({ [`m${ids.ana}`]: 0, [`m${ids.kim}`]: 0, [`m${ids.bea}`]: 0, [`m${ids.bo}`]: 0 }),
      digest: expect.stringMatching(/^[\w-]{20,}$/) as string,
    },
  ]);
  expect((await lead.get(answer.headers.location ?? '')).text).toMatch(/<b>Made Sat, Dec 5, [^.]*at change 1\.<\/b>/);
});

it('nothing ticked is refused, and a part nobody knows is no part', async () => {
  const { walk, lead, made } = await onTheDay();
  for (const fields of [{}, { part: 'everything' }, { part: ['__proto__', 'constructor'] }]) {
    const { status, text } = await lead.post(`${walk}/pack`, { ...fields, blank: '7' });
    expect(status).toBe(422);
    expect(text).toContain('<title>Error: ');
    expect(text).toContain('href="#part">Parts: Tick at least one part.');
    expect(text).toContain('value="7"');
  }
  expect(made()).toEqual([]);
});

it('has the parts that were chosen, and no other', async () => {
  const { walk, lead } = await onTheDay();
  const headings = async (query: string) =>
    [...(await lead.get(`${walk}/pack?${query}`)).text.matchAll(/<section class="part[^>]*>\s*<h2[^>]*>([^<]*)/g)].map((one) => one[1]);
  expect(await headings('set=back')).toEqual(['Cards to cut out', 'The way', 'In an emergency']);
  expect(await headings('part=incident')).toEqual(['Incident form']);
  expect(await headings('')).toEqual([
    'Sign-in sheet',
    'For the leader only: do not pass round',
    'Cards to cut out',
    'The way',
    'In an emergency',
    'Incident form',
    'Waivers to sign on paper',
  ]);
  // Ana, Kim, Bea and Bo have yet to sign.
  expect((await lead.get(`${walk}/pack?part=waivers&blank=3`)).text.match(/<article class="paper"/g)).toHaveLength(7);
});

it('says on each part when it was printed and at which change of the walk', async () => {
  const { walk, lead, site, cast } = await onTheDay();
  saveEdit(site.services, {
    walkId: cast.walkId,
    opened: 1,
    facts: walkFacts({ bring: 'A hat' }),
    by: cast.ids.leader,
    tell: false,
    post: false,
  });
  for (const part of ['sheet', 'list', 'briefing', 'headcount', 'way', 'emergency'])
    expect([part, (await lead.get(`${walk}/pack?part=${part}`)).text]).toEqual([
      part,
      expect.stringMatching(/Printed Sat, Dec 5, [^.]*at change 2\./),
    ]);
});

it("the walk's page says what was printed, and what changed since", async () => {
  const { walk, lead, site, cast, ids, says } = await onTheDay();
  expect(await says()).toBeUndefined();
  await lead.post(`${walk}/pack`, { part: ['sheet', 'way'] });
  expect(await says()).toMatch(
    /^Printed Sat, Dec 5, 6:45.AM EST at change 1 \(Sign-in sheet, The way\); nothing on it has changed since\.$/,
  );
  site.clock.now += 60_000;
  layParty(site, cast.walkId, [
    { name: 'Nia Low', note: null },
    { name: 'Max Low', note: null },
  ]);
  site.db.raw.prepare("UPDATE sign_ups SET state = 'withdrawn' WHERE id = (SELECT sign_up_id FROM party_members WHERE id = ?)").run(ids.bo);
  const facts = walkFacts({ meetingPoint: 'Mill yard' });
  saveEdit(site.services, { walkId: cast.walkId, opened: 1, facts, by: cast.ids.leader, tell: false, post: false });
  expect(await says()).toMatch(
    /^The paper is out of date\. Printed [^;]* at change 1 \([^)]*\); since then: the meeting point changed, 2 joined, 1 withdrew\. Print it again\.$/,
  );
  await lead.post(`${walk}/pack`, { part: ['sheet', 'way'] });
  expect(await says()).toMatch(/at change 2 [^;]*; nothing on it has changed since\.$/);
});

it('a name put right is warned of; a party that waits is not', async () => {
  const { walk, lead, site, cast, says } = await onTheDay();
  await lead.post(`${walk}/pack`, { part: 'sheet' });
  layParty(site, cast.walkId, [{ name: 'Una Wait', note: null }], 'waiting');
  expect(await says()).toContain('nothing on it has changed since');
  site.db.write((tx) => tx.update(partyMembers).set({ name: 'Ana Fereira' }).run());
  expect(await says()).toContain('since then: somebody&#x27;s name, phone or guardian was put right');
});

it('says nothing of paper once the walk is over or cancelled', async () => {
  const { walk, lead, site, cast, says } = await onTheDay();
  await lead.post(`${walk}/pack`, { part: 'sheet' });
  site.clock.now = GATHER + 72 * HOUR_MS - 1;
  expect(await says()).toBeDefined();
  site.clock.now += 1;
  expect(await says()).toBeUndefined();
  site.clock.now = GATHER - HOUR_MS;
  cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
  expect(await says()).toBeUndefined();
});

it('the button that opens contacts keeps the pack with them, the list always among it', async () => {
  const { walk, lead, made } = await onTheDay();
  const { status, text } = await lead.post(`${walk}/pack/contacts`, { part: 'way' });
  expect(status).toBe(200);
  expect(text).toContain('carries an inhaler');
  expect(text).toContain('with emergency contacts.</b>');
  expect(made()).toMatchObject([{ parts: '["list","way"]', contacts: 1 }]);
});

it('opens them for its own leaders alone, and within the window alone: nothing is written down of who was refused', async () => {
  const { walk, lead, site, cast, made } = await onTheDay();
  const before = site.db.raw.prepare('SELECT count(*) FROM audit_log').pluck().get();
  const refused = async (browser: typeof lead) => {
    const { status, text } = await browser.post(`${walk}/pack/contacts`, { part: 'list' });
    expect(text).not.toContain('carries an inhaler');
    return status;
  };
  expect(await refused(cast.browser('coordinator'))).toBe(403);
  expect(await refused(cast.browser('other leader'))).toBe(403);
  site.clock.now = GATHER - 24 * HOUR_MS - 1;
  expect(await refused(lead)).toBe(403);
  expect(made()).toEqual([]);
  expect(site.db.raw.prepare('SELECT count(*) FROM audit_log').pluck().get()).toBe(before);
});

it('lists who turned up after those who signed up, minors by the name of whom they are with', async () => {
  const { walk, lead, site, cast, ids } = await onTheDay();
  site.db.write((tx) =>
    tx
      .insert(turnedUp)
      .values({ walkId: cast.walkId, key: 'abcdefgh', name: 'Tom Late', minor: true, guardian: `m${ids.bea}`, addedAt: GATHER })
      .run(),
  );
  const { text } = await lead.post(`${walk}/pack/contacts`, { part: ['sheet', 'list'] });
  expect(text.match(/<td>5<\/td><td class="minor"><b>Tom Late<\/b>/g)).toHaveLength(2);
  expect(text).toMatch(
    /Tom Late<\/b> <br><span class="small">under 18, with Bea Ferreira\. <\/span><\/td><td><b>to sign<\/b><\/td><td>None yet: ask on the day/,
  );
});

it('a draft, and a walk that is over, have a pack without waivers', async () => {
  const { lead, cast, site } = await onTheDay();
  expect((await lead.get(`/lead/walks/${cast.draftId}/pack`)).text).toContain('This walk is a draft: nobody has signed up');
  site.clock.now = GATHER + 40 * 24 * HOUR_MS;
  const { status, text } = await cast.browser('leader').get(`/lead/walks/${cast.walkId}/pack`);
  expect([status, text.includes('<article class="paper"')]).toEqual([200, false]);
});

it('tells whoever calls for help the number of the area, the place to meet and its point', async () => {
  const { walk, lead } = await onTheDay();
  const { text } = await lead.get(`${walk}/pack?part=emergency`);
  expect(text).toContain('<p class="call-first">Call <a href="tel:911"><b>911</b></a></p>');
  expect(text).toContain('<li><b>Where.</b> Lantern Hills. Read out');
  expect(text).toContain('<b class="nowrap">41.30000, -85.10000</b>');
  expect(text).toContain('This walk has no route file');
  expect(text).toContain('Call the emergency number first.');
});
