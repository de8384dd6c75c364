import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { auditLog, emergencyContacts, partyMembers, signUps, waivers } from '../../server/db/schema/index.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';

const DAY_MS = 24 * 60 * 60 * 1000;

async function opened(capacity = 12) {
  const site = await openSite();
  const cast = layCast(site);
  const walkId = saveNewWalk(site.services, walkFacts({ routeName: 'Mill race', capacity }), cast.ids.leader, 'posted');
  const at = `/walks/${walkId}/sign-up`;
  const states = () => site.db.q.select({ email: signUps.email, state: signUps.state, size: signUps.partySize }).from(signUps).all();
  return { site, cast, walkId, at, states, nobody: cast.browser('nobody') };
}

function party(email: string, ...names: string[]): Record<string, string> {
  const [first = 'Ana Ferreira', ...rest] = names;
  const others = rest.flatMap((name, index) =>
    Object.entries(signUpFields())
      .filter(([field]) => field.startsWith('members[0]'))
      .map(([field, value]) => [
        field.replace('[0]', `[${index + 1}]`),
        /name\]|signature/.test(field) && !field.includes('contact') ? name : value,
      ]),
  );
  return {
    ...signUpFields({ name: first, email, 'members[0][name]': first, 'members[0][signature]': first }),
    ...Object.fromEntries(others),
  };
}

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
    expect(two.text).toContain('value="asthma"');
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
    expect(child.text).toContain('Under-18s cannot be signed up here yet');
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

describe('the private page', () => {
  it('says what to do next when the link is cut, and when one has withdrawn', async () => {
    const { at, nobody } = await opened();
    expect((await nobody.get('/sign-ups/cut-off')).status).toBe(404);
    const { headers } = await nobody.post(at, signUpFields());
    await nobody.post(`${headers.location}/withdraw`);
    await nobody.post(`${headers.location}/withdraw`);
    const page = await nobody.get(headers.location ?? '');
    expect(page.text).toContain('Sign up again');
    expect((await nobody.post(headers.location ?? '', signUpFields())).status).toBe(409);
  });

  it('asks a new name in an old place to sign', async () => {
    const { at, nobody } = await opened();
    const { headers } = await nobody.post(at, signUpFields());
    const id = /name="members\[0\]\[id\]" value="(\d+)"/.exec((await nobody.get(headers.location ?? '')).text)?.[1] ?? '';
    const swapped = { name: 'Ana Ferreira', phone: '(202) 555-0123', 'members[0][id]': id, 'members[0][name]': 'Someone Else' };
    expect((await nobody.post(headers.location ?? '', swapped)).status).toBe(422);
  });
});

describe('emergency details', () => {
  it("open for the walk's leaders from a day before gathering, each opening written down", async () => {
    const { site, cast, walkId, at, nobody } = await opened();
    await nobody.post(at, signUpFields({ 'members[0][note]': 'carries an inhaler' }));
    const leader = cast.browser('leader');
    const sheet = () => leader.get(`/lead/walks/${walkId}/pack`);
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
