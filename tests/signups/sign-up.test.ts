import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { auditLog, emergencyContacts, partyMembers, waivers, walks } from '../../server/db/schema/index.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';
import { opened, party } from './opened.js';

const DAY_MS = 24 * 60 * 60 * 1000;

describe('signing up', () => {
  it('keeps everything in one go: party, sealed contact, waiver, and shows the private page', async () => {
    const { site, at, nobody } = await opened();
    const answer = await nobody.post(at, party('ana@walkers.example', 'Ana Ferreira', 'Rui Ferreira'));
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toMatch(/^\/sign-ups\/[\w-]{43}$/);
    const page = await nobody.get(answer.headers.location ?? '');
    expect(page.text).toContain('places for: Ana Ferreira, Rui Ferreira');
    expect(page.headers['cache-control']).toBe('no-store');
    const { q } = site.db;
    expect(q.select().from(partyMembers).all()).toHaveLength(2);
    expect(
      q
        .select()
        .from(waivers)
        .all()
        .map((one) => one.forName),
    ).toEqual(['Ana Ferreira', 'Rui Ferreira']);
    const sealed = Buffer.concat(
      q
        .select()
        .from(emergencyContacts)
        .all()
        .map((one) => one.sealed),
    ).toString('latin1');
    expect(sealed).not.toMatch(/Rui|brother|555/);
  });

  it('takes the same form twice as one, whichever comes first', async () => {
    const { at, nobody, states } = await opened();
    const [first, second] = await Promise.all([nobody.post(at, signUpFields()), nobody.post(at, signUpFields())]);
    expect(second.headers.location).toBe(first.headers.location);
    expect(states()).toHaveLength(1);
  });

  it('does not give a stranger the private page of an address that has signed up', async () => {
    const { at, nobody, states } = await opened();
    await nobody.post(at, signUpFields());
    const answer = await nobody.post(at, signUpFields({ name: 'Mallory' }));
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('mailed its private link again');
    expect(states()).toHaveLength(1);
  });

  it('keeps what was typed where something needs mending, and says so in the title', async () => {
    const { at, nobody, states } = await opened();
    const answer = await nobody.post(at, signUpFields({ 'members[0][contactPhone]': '(202) 555-018', agreeRules: '' }));
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/<title>Error: Sign up/);
    expect(answer.text).toContain('Two things to mend');
    expect(answer.text).toContain('value="(202) 555-018"');
    expect(answer.text).toContain('href="#members-0-contactPhone"');
    expect(states()).toEqual([]);
  });

  it('adds and removes people without losing a letter', async () => {
    const { at, nobody } = await opened();
    const two = await nobody.post(at, signUpFields({ add: 'yes', 'members[0][note]': 'asthma' }));
    expect(two.status).toBe(200);
    expect(two.text).toContain('name="members[1][name]"');
    expect(two.text).toContain('>asthma</textarea>');
    const one = await nobody.post(at, { ...party('ana@walkers.example', 'Ana Ferreira', 'Rui Ferreira'), removeMember: '1' });
    expect(one.text).not.toContain('name="members[1][name]"');
  });

  it('asks for no new signature where a waiver is in force, and for one from someone else', async () => {
    const { site, cast, at, nobody } = await opened();
    await nobody.post(at, signUpFields());
    const next = saveNewWalk(site.services, walkFacts({ date: '2026-12-12' }), cast.ids.leader, 'posted');
    const again = await nobody.post(`/walks/${next}/sign-up`, signUpFields({ 'members[0][signature]': '', agreeWaiver: '' }));
    expect(again.status).toBe(303);
    expect(site.db.q.select().from(waivers).all()).toHaveLength(1);
    const third = saveNewWalk(site.services, walkFacts({ date: '2026-12-19' }), cast.ids.leader, 'posted');
    const other = await nobody.post(
      `/walks/${third}/sign-up`,
      signUpFields({ 'members[0][name]': 'Bea Ferreira', 'members[0][signature]': '', agreeWaiver: '' }),
    );
    expect(other.status).toBe(422);
  });

  it('tells robots from people, and children from adults', async () => {
    const { at, nobody } = await opened();
    expect((await nobody.post(at, signUpFields({ website: 'http://spam.example' }))).status).toBe(422);
    const child = await nobody.post(at, signUpFields({ 'members[0][minor]': 'yes' }));
    expect(child.text).toContain('This walk is for adults. Leave them out');
  });

  it('shows a title with length and date, and says what follows', async () => {
    const { at, nobody } = await opened();
    const page = await nobody.get(at);
    expect(page.text).toMatch(/<h1>Sign up: 8-mile walk, Sat, Dec 5, 8:45\sAM EST<\/h1>/);
    expect(page.text).toContain('<legend>1. First walker</legend>');
    expect(page.text).toContain('Name, if it is not you');
    expect(page.text).toContain('This walk is for adults.');
    expect(page.text.indexOf('aria-label="The waiver"')).toBeLessThan(page.text.indexOf('id="members-0-signature"'));
    const refused = await nobody.post(at, signUpFields({ 'members[0][name]': '', agreeRules: '' }));
    expect(refused.text).toContain('<legend>1. Ana Ferreira</legend>');
    expect(refused.text).toContain('Ana Ferreira signs: type the full name');
  });

  it('lets the browser give back what was typed when one comes back to it', async () => {
    const { at, nobody } = await opened();
    const page = await nobody.get(at);
    expect(page.headers['cache-control'] ?? '').not.toContain('no-store');
    // A field with autocomplete="off" comes back empty. The robots' trap is meant to.
    expect(page.text.match(/<[^>]*autocomplete="off"/g)).toEqual([expect.stringContaining('id="website"')]);
  });

  it('brings the browser to the walker just added, and back to the button after one is removed', async () => {
    const { at, nobody } = await opened();
    const focused = (text: string) => text.match(/<[^>]* autofocus[ >]/g);
    const added = await nobody.post(at, signUpFields({ add: 'yes' }));
    expect(focused(added.text)).toEqual([expect.stringContaining('id="members-1-name"')]);
    const removed = await nobody.post(at, { ...party('ana@walkers.example', 'Ana Ferreira', 'Rui Ferreira'), removeMember: '1' });
    expect(focused(removed.text)).toEqual([expect.stringContaining('name="add"')]);
  });

  it('leads someone signed in to the sign-up they have, and nobody else', async () => {
    const { cast, at, nobody } = await opened();
    const walker = cast.browser('walker');
    expect((await walker.get(at)).text).not.toContain('signed up already');
    const { headers } = await nobody.post(at, signUpFields({ email: 'walker@waymeet.example' }));
    const note = `<b>You are signed up already:</b> <a href="${headers.location}">your sign-up</a>`;
    expect((await walker.get(at)).text).toContain(note);
    expect((await cast.browser('other walker').get(at)).text).not.toContain('signed up already');
    expect((await nobody.get(at)).text).not.toContain('signed up already');
    await nobody.post(`${headers.location}/withdraw`);
    expect((await walker.get(at)).text).not.toContain('signed up already');
  });

  it('closes with one stop after the reason, whether or not the leader made it', async () => {
    const { site, walkId, at, nobody } = await opened();
    for (const cancelReason of ['Storm warning. Again in two weeks.', 'Storm warning. Again in two weeks']) {
      site.db.q.update(walks).set({ state: 'cancelled', cancelReason, cancelKind: 'safety' }).where(eq(walks.id, walkId)).run();
      const page = await nobody.get(at);
      expect(page.status).toBe(410);
      expect(page.text).toMatch(/Again in two weeks\.</);
    }
  });

  it('ends when people gather, to the millisecond', async () => {
    const { site, at, nobody } = await opened();
    site.clock.now = walkFacts().gatherAt - 1;
    expect((await nobody.get(at)).status).toBe(200);
    site.clock.now += 1;
    expect((await nobody.get(at)).status).toBe(410);
    expect((await nobody.post(at, signUpFields())).status).toBe(410);
  });
});

describe('places', () => {
  it('keep a party that does not fit waiting as a whole, and give a freed place to the first that fits', async () => {
    const { at, nobody, states } = await opened(3);
    const first = await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'));
    await nobody.post(at, party('b@walkers.example', 'Bea Birch', 'Ben Birch', 'Bob Birch'));
    await nobody.post(at, party('c@walkers.example', 'Cal Cedar', 'Cy Cedar'));
    await nobody.post(at, party('d@walkers.example', 'Dee Dogwood'));
    expect(states().map((one) => one.state)).toEqual(['confirmed', 'waiting', 'waiting', 'confirmed']);
    await nobody.post(`${first.headers.location}/withdraw`);
    expect(states().map((one) => one.state)).toEqual(['withdrawn', 'waiting', 'confirmed', 'confirmed']);
  });

  it('are not exceeded by adding to a party, which loses nothing', async () => {
    const { at, nobody, states } = await opened(2);
    const { headers } = await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'));
    const page = await nobody.get(headers.location ?? '');
    const ids = [...page.text.matchAll(/name="members\[\d\]\[id\]" value="(\d+)"/g)].map((found) => found[1] ?? '');
    const three = {
      ...party('a@walkers.example', 'Ann Ash', 'Abe Ash', 'Al Ash'),
      'members[0][id]': ids[0] ?? '',
      'members[1][id]': ids[1] ?? '',
    };
    const answer = await nobody.post(headers.location ?? '', three);
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('No place is left');
    expect(states()[0]?.size).toBe(2);
  });

  it('come free when someone is taken out of a party', async () => {
    const { at, nobody, states } = await opened(2);
    const { headers } = await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'));
    await nobody.post(at, party('b@walkers.example', 'Bea Birch'));
    const page = await nobody.get(headers.location ?? '');
    const id = /name="members\[0\]\[id\]" value="(\d+)"/.exec(page.text)?.[1] ?? '';
    const kept = { name: 'Ann Ash', phone: '(202) 555-0123', 'members[0][id]': id, 'members[0][name]': 'Ann Ash' };
    expect((await nobody.post(headers.location ?? '', kept)).status).toBe(303);
    expect(states()).toMatchObject([{ size: 1 }, { state: 'confirmed' }]);
  });
});

describe('emergency details', () => {
  it("open for the walk's leaders from a day before gathering, each opening written down", async () => {
    const { site, cast, walkId, at, nobody } = await opened();
    await nobody.post(at, signUpFields({ 'members[0][note]': 'carries an inhaler' }));
    const leader = cast.browser('leader');
    const sheet = () => leader.post(`/lead/walks/${walkId}/pack/contacts`, { part: 'list' });
    const opens = walkFacts().gatherAt - DAY_MS;
    site.clock.now = opens - 1;
    expect((await sheet()).text).not.toContain('carries an inhaler');
    expect(
      site.db.q
        .select()
        .from(auditLog)
        .where(eq(auditLog.subject, `walk:${walkId}`))
        .all(),
    ).toEqual([]);
    site.clock.now = opens;
    expect((await sheet()).text).toContain('carries an inhaler');
    expect(
      site.db.q
        .select()
        .from(auditLog)
        .where(eq(auditLog.subject, `walk:${walkId}`))
        .all(),
    ).toMatchObject([{ personId: cast.ids.leader, action: 'opened emergency details' }]);
    expect((await cast.browser('coordinator').get(`/lead/walks/${walkId}/pack`)).text).not.toContain('carries an inhaler');
    site.clock.now = walkFacts().gatherAt + 3 * DAY_MS;
    expect((await sheet()).text).not.toContain('carries an inhaler');
  });
});
