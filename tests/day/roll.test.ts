import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { byPerson, headcount, standing } from '../../server/day/ledger.js';
import type { Browser } from '../support/browser.js';
import { batch, type Day, layDay, sent, stateOf } from '../support/roll.js';

/** How someone stands on the roll. */
async function stateNow(browser: Browser, path: string, who: string): Promise<string> {
  const { entries } = await stateOf(browser, path);
  return standing(byPerson(entries).get(who) ?? []).state;
}

async function opened(): Promise<Day & { leader: Browser }> {
  const day = await layDay();
  const leader = day.cast.browser('leader');
  await leader.get(day.path);
  return { ...day, leader };
}

/** Taps, and expects to be led back to the roll. */
async function tap({ leader, path }: { leader: Browser; path: string }, fields: Record<string, string>): Promise<string> {
  const answer = await leader.post(path, fields);
  expect([answer.status, answer.headers.location]).toEqual([303, expect.stringContaining(path)]);
  return String(answer.headers.location);
}

describe("the roll's page, without script", () => {
  it('keeps a whole day: arrived, set off, counted at each stop, one left early, finished', async () => {
    const day = await opened();
    const { leader, path } = day;
    expect((await leader.get(path)).text).toContain('<dd>3</dd><dt>to come</dt>');
    for (const who of ['m1', 'm2', 'm3']) await tap(day, { who, kind: 'arrived' });
    const without = await leader.post(path, { who: 'group', kind: 'set off', back: '' });
    expect([without.status, without.text.includes('Choose who walks last.')]).toEqual([422, true]);
    await tap(day, { who: 'group', kind: 'set off', back: `p${day.cast.ids['co-leader']}` });
    expect((await leader.get(path)).text).toContain('Back marker: <b>Coe Lindgren</b>');
    await tap(day, { who: 'group', kind: 'stop', stop: '1' });
    const wrong = await leader.post(path, { who: 'all', kind: 'all', at: 'stop 1', heads: '2' });
    expect([wrong.status, wrong.text.includes('You counted 2; 3 should be here.')]).toEqual([422, true]);
    await tap(day, { who: 'm1', kind: 'stop', stop: '1' });
    await tap(day, { who: 'm2', kind: 'stop', stop: '1' });
    await tap(day, { who: 'group', kind: 'stop', stop: '2' });
    const missing = (await leader.get(path)).text;
    expect(missing).toContain('Missing since Weir bridge: 1');
    expect(missing).toMatch(/<b>Cal Whitlock<\/b>, last seen when the group set off/);
    await tap(day, { who: 'm3', kind: 'left', stop: '0', told: 'back marker', home: 'taxi' });
    await tap(day, { who: 'all', kind: 'all', at: 'stop 2', heads: '2' });
    await tap(day, { who: 'group', kind: 'finish' });
    const before = (await leader.get(path)).text;
    expect(before).toMatch(/3 set off (=|&#x3D;) 0 finished \+ 1 left early \+ 2 on the way/);
    expect(before).not.toContain('close the walk');
    await tap(day, { who: 'm1', kind: 'finished' });
    await tap(day, { who: 'm2', kind: 'finished' });
    const after = (await leader.get(path)).text;
    expect(after).toMatch(/3 set off (=|&#x3D;) 2 finished \+ 1 left early \+ 0 on the way/);
    expect(after).toContain('close the walk');
    expect((await leader.get(`${path}?who=m3`)).text).toContain('left early before the first stop, told the back marker, home: taxi');
  });

  it('keeps the place: opens again at whoever is to be tapped next', async () => {
    const day = await opened();
    expect(await tap(day, { who: 'm1', kind: 'arrived' })).toBe(`${day.path}#row-m2`);
    expect(await tap(day, { who: 'm3', kind: 'arrived' })).toBe(`${day.path}#row-m2`);
    expect(await tap(day, { who: 'm2', kind: 'arrived' })).toBe(day.path);
  });

  it('takes a tap that was sent twice once, and one of an old page as what it answered', async () => {
    const day = await opened();
    await tap(day, { who: 'm3', kind: 'arrived', after: '' });
    await tap(day, { who: 'm3', kind: 'arrived', after: '' });
    const [first] = (await stateOf(day.leader, day.path)).entries;
    expect((await stateOf(day.leader, day.path)).entries).toHaveLength(1);
    await tap(day, { who: 'm3', kind: 'set off', after: first?.entry ?? '' });
    // The tab from before: it answers nothing, and whoever is further along stays there.
    await tap({ ...day, leader: day.leader }, { who: 'm3', kind: 'arrived', after: '' });
    expect(await stateNow(day.leader, day.path, 'm3')).toBe('set off');
  });

  it('shows what two phones say differently first, and a tap settles it', async () => {
    const day = await opened();
    const entries = [sent('m3', { kind: 'finished' }), sent('m3', { kind: 'left', stop: 1, told: 'leader', home: 'driven' })];
    await day.leader.postJson(day.path, batch(entries));
    const page = (await day.leader.get(day.path)).text;
    expect(page).toContain('Two phones differ');
    const heads = entries.map((one) => one.entry).join(',');
    await tap(day, { who: 'm3', kind: 'left', stop: '1', told: 'leader', home: 'driven', after: heads });
    expect(await stateNow(day.leader, day.path, 'm3')).toBe('left');
    expect((await day.leader.get(day.path)).text).not.toContain('Two phones differ');
  });

  it('warns of a minor without the guardian, and lets no guardian leave without a word about them', async () => {
    const day = await opened();
    await tap(day, { who: 'm2', kind: 'arrived' });
    expect((await day.leader.get(day.path)).text).toContain(
      'Kit Ferreira is under 18 and here; Ana Ferreira, who answers for them, has not arrived.',
    );
    await tap(day, { who: 'm1', kind: 'arrived' });
    await tap(day, { who: 'm3', kind: 'arrived' });
    expect((await day.leader.get(day.path)).text).not.toContain('answers for them');
    const left = { who: 'm1', kind: 'left', stop: '0', told: 'leader', home: 'driven' };
    const refused = await day.leader.post(day.path, left);
    expect([refused.status, refused.text.includes('Choose who Kit Ferreira goes with.')]).toEqual([422, true]);
    await tap(day, { ...left, minors: 'm3' });
    const page = (await day.leader.get(day.path)).text;
    expect(page).toContain('under 18, with Cal Whitlock');
  });

  it('names whom to ring in order: their own phone, or who booked, then the emergency contact', async () => {
    const day = await opened();
    const cal = (await day.leader.get(`${day.path}?who=m3`)).text;
    expect(cal).toMatch(/their own phone: <a[^>]*href="tel:\+12025550199"[\s\S]*The emergency contact/);
    const kit = (await day.leader.get(`${day.path}?who=m2`)).text;
    expect(kit).toMatch(/Ana Ferreira, who booked for them: <a[^>]*href="tel:\+12025550123"/);
  });

  it('opens a day before people gather, to the millisecond, and says when', async () => {
    const { site, walk, path, leader } = await opened();
    site.clock.now = walk.gatherAt - 24 * 3_600_000 - 1;
    expect((await leader.get(path)).text).toContain('The roll opens');
    expect((await leader.post(path, { who: 'm1', kind: 'arrived' })).status).toBe(403);
    site.clock.now += 1;
    expect((await leader.post(path, { who: 'm1', kind: 'arrived' })).status).toBe(303);
  });

  it('can only be read once the walk is closed, and counts what came later', async () => {
    const { site, walk, path, leader } = await opened();
    site.db.raw.prepare("UPDATE walks SET state = 'closed', closed_at = ? WHERE id = ?").run(site.clock.now, walk.id);
    expect((await leader.post(path, { who: 'm1', kind: 'arrived' })).status).toBe(409);
    site.clock.now += 1;
    await leader.postJson(path, batch([sent('m1', { kind: 'arrived' })]));
    const page = (await leader.get(path)).text;
    expect(page).toContain('1 entry came</b> after it was closed');
    expect(page).not.toMatch(/name="kind"/);
  });

  it('asks the database as often, whatever the roll holds', async () => {
    const { site, path, leader } = await opened();
    const statements = Object.getPrototypeOf(site.db.raw.prepare('SELECT 1')) as Record<'all' | 'get', () => unknown>;
    const queries = async (page: string) => {
      const asked = [vi.spyOn(statements, 'all'), vi.spyOn(statements, 'get')];
      expect((await leader.get(page)).status).toBe(200);
      const count = asked.flatMap((one) => one.mock.calls).length;
      for (const one of asked) one.mockRestore();
      return count;
    };
    const few = [await queries(path), await queries(`${path}?who=m1`)];
    const people = Array.from({ length: 60 }, (_, index) => ({ key: `turned-up-${index}`, name: 'Dee Okafor' }));
    await leader.postJson(
      path,
      batch(
        people.flatMap(({ key }) => [sent(`t${key}`, { kind: 'arrived' }), sent('m1', { kind: 'arrived' })]),
        { people },
      ),
    );
    expect([await queries(path), await queries(`${path}?who=m1`)]).toEqual(few);
    expect(few[0]).toBeLessThanOrEqual(16);
  });

  it('never answers 500, whatever is posted or sent', { timeout: 60_000 }, async () => {
    const { path, leader } = await opened();
    const words = [
      'm1',
      'm2',
      'm99',
      'group',
      'back',
      'with',
      'rest',
      'all',
      'arrived',
      'left',
      'stop',
      'set off',
      'gathering',
      'finish',
      '1',
      '99',
      '',
      'leader',
      'p4',
      '__proto__',
    ];
    const value = fc.oneof(fc.constantFrom(...words), fc.string({ unit: 'binary' }));
    const name = fc.constantFrom('who', 'kind', 'stop', 'told', 'home', 'after', 'back', 'heads', 'at', 'minor', 'minors', 'guardian');
    await fc.assert(
      fc.asyncProperty(fc.dictionary(name, value), async (fields) => {
        const answer = await leader.post(path, fields);
        expect([303, 422]).toContain(answer.status);
        if (answer.status === 422) expect(answer.text).toMatch(/<title>Error: /);
      }),
      { numRuns: 25 },
    );
    const entry = fc.record({
      entry: fc.constant('entry-of-a-phone-x'),
      who: value,
      said: fc.oneof(fc.record({ kind: value, stop: fc.anything() }), fc.anything()),
      after: fc.anything(),
      at: fc.anything(),
    });
    const body = fc.record({
      device: fc.constantFrom('phone-of-lena', ''),
      sentAt: fc.oneof(fc.constant(0), fc.double()),
      entries: fc.oneof(fc.array(entry), fc.anything()),
      people: fc.oneof(fc.constant([]), fc.anything()),
    });
    await fc.assert(
      fc.asyncProperty(body, async (sending) => {
        const answer = await leader.postJson(path, JSON.parse(JSON.stringify(sending)) as object);
        expect([200, 400, 422]).toContain(answer.status);
      }),
      { numRuns: 25 },
    );
    for (const who of ['', 'm99', "m1'--", 'group']) expect((await leader.get(`${path}?who=${encodeURIComponent(who)}`)).status).toBe(200);
  });
});

describe('two phones with clocks of their own', () => {
  it('come to the same roll through the service, in whatever order and however often they send', async () => {
    const { site, path, leader, cast, walk } = await opened();
    const other = cast.browser('co-leader');
    await other.get(path);
    const script = [
      sent('m1', { kind: 'arrived' }),
      sent('m3', { kind: 'arrived' }),
      sent('m2', { kind: 'arrived' }),
      sent('m3', { kind: 'not walking' }),
      sent('group', { kind: 'group', at: 'set off' }),
      sent('m1', { kind: 'set off' }),
      sent('m1', { kind: 'stop', stop: 2 }),
      sent('m1', { kind: 'left', stop: 1, told: 'leader', home: 'taxi' }),
      sent('m2', { kind: 'finished' }),
    ];
    const [a, , , , , off, stop] = script;
    const entries = script.map((one) =>
      one === off ? { ...one, after: [a?.entry] } : one === stop ? { ...one, after: [off?.entry] } : one,
    );
    const rolls = new Set<string>();
    const sends = fc.array(fc.tuple(fc.subarray(entries), fc.boolean(), fc.integer({ min: 0, max: 2 ** 45 })), { maxLength: 4 });
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray(entries, { minLength: entries.length }), sends, async (order, early) => {
        site.db.raw.prepare('DELETE FROM roll_entries WHERE walk_id = ?').run(walk.id);
        const post = (browser: Browser, some: typeof entries, sentAt: number) =>
          browser.postJson(
            path,
            batch(
              some.map((one) => ({ ...one, at: Math.max(0, sentAt - 1000) })),
              { sentAt },
            ),
          );
        for (const [some, isOther, clock] of early) await post(isOther ? other : leader, some, clock);
        await post(leader, order.slice(0, 4), 5);
        await post(other, order.slice(3), 2 ** 44);
        const { people, entries: kept } = await stateOf(leader, path);
        const who = people.map((one) => one.who);
        rolls.add(JSON.stringify([who.map((one) => standing(byPerson(kept).get(one) ?? [])), headcount(who, kept)]));
        expect(kept).toHaveLength(entries.length);
      }),
      { numRuns: 15 },
    );
    expect(rolls.size).toBe(1);
  });
});
