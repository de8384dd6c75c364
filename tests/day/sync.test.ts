import { describe, expect, it } from 'vitest';
import { batch, layDay, sent, stateOf } from '../support/roll.js';

const ARRIVED = { kind: 'arrived' };

describe('what a phone sends', () => {
  it('is on the roll of everyone who leads the walk, with names and no number or address', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    const before = await stateOf(leader, path);
    const entry = sent('m1', ARRIVED);
    const answer = await leader.postJson(path, batch([entry]));
    expect(answer.status).toBe(200);
    expect(answer.body).toEqual({ ...before, entries: [{ entry: entry.entry, who: 'm1', said: ARRIVED, after: [], at: before.now }] });
    const shared = await stateOf(cast.browser('co-leader'), path);
    expect(shared.entries).toHaveLength(1);
    expect(shared.people.map(({ name, guardian }) => [name, guardian])).toEqual([
      ['Ana Ferreira', null],
      ['Kit Ferreira', 'Ana Ferreira'],
      ['Cal Whitlock', null],
    ]);
    expect(JSON.stringify(answer.body)).not.toMatch(/@|\+1202/);
  });

  it('is kept once, however often it comes', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const entry = sent('m1', ARRIVED);
    await leader.postJson(path, batch([entry, entry]));
    const again = await leader.postJson(path, batch([entry]));
    expect(again.body.entries).toHaveLength(1);
  });

  it('is refused entry by entry, and the others are kept', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const stranger = sent('m999', ARRIVED);
    const nonsense = sent('m1', { kind: 'flown' });
    const wrongStop = sent('m1', { kind: 'stop', stop: 0 });
    const wrongBack = sent('back', { kind: 'back', who: 'm999' });
    const answer = await leader.postJson(path, batch([stranger, nonsense, sent('m3', ARRIVED), wrongStop, wrongBack, 'no entry', null]));
    expect(answer.status).toBe(422);
    const refused = answer.body.refused as { entry: string; sentence: string }[];
    expect(refused.map((one) => one.entry).sort()).toEqual(
      [stranger, nonsense, wrongStop, wrongBack]
        .map((one) => one.entry)
        .concat('', '')
        .sort(),
    );
    expect((await stateOf(leader, path)).entries.map((one) => one.who)).toEqual(['m3']);
  });

  it('puts someone who turned up on the roll, whatever their name', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const people = [
      { key: 'turned-up-1', name: '  Dee\u0000   Okafor ' },
      { key: 'turned-up-2', name: '' },
      { key: 'turned-up-3', name: 'x'.repeat(900) },
    ];
    const answer = await leader.postJson(path, batch([sent('tturned-up-1', ARRIVED)], { people }));
    expect(answer.status).toBe(200);
    await leader.postJson(path, batch([], { people: [{ key: 'turned-up-1', name: 'Another' }] }));
    const names = (await stateOf(leader, path)).people.slice(3).map((one) => one.name);
    expect(names).toEqual(['Dee Okafor', 'No name given', 'x'.repeat(100)]);
  });

  it('says when it was said by our clock, whatever the phone takes the time to be', async () => {
    const { cast, path, site } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const minute = 60_000;
    const ahead = site.clock.now + 900 * minute;
    const entries = [
      sent('m1', ARRIVED, { at: ahead - 7 * minute }),
      sent('m3', ARRIVED, { at: ahead + minute }),
      sent('m2', ARRIVED, { at: 0 }),
    ];
    const answer = await leader.postJson(path, batch(entries, { sentAt: ahead }));
    const at = (answer.body.entries as { at: number }[]).map((one) => (one.at - site.clock.now) / minute);
    expect(at).toEqual([-7, 0, -23.5 * 60]);
  });

  it('keeps who withdrew on the roll once a leader has seen them, and not before', async () => {
    const { cast, path, site } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    site.db.raw.prepare("UPDATE sign_ups SET state = 'withdrawn' WHERE email = 'cal@walkers.example'").run();
    expect((await stateOf(leader, path)).people.map((one) => one.name)).not.toContain('Cal Whitlock');
    const answer = await leader.postJson(path, batch([sent('m3', ARRIVED)]));
    expect(answer.status).toBe(200);
    expect((await stateOf(leader, path)).people.find((one) => one.who === 'm3')).toMatchObject({
      name: 'Cal Whitlock',
      withoutPlace: true,
    });
  });
});

describe('who may send, and when', () => {
  it('answers in JSON a phone that is signed out, not a leader of the walk, or from an old page', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const nobody = await cast.browser('nobody').postJson(path, batch([]));
    expect([nobody.status, nobody.body.sentence]).toEqual([401, expect.stringContaining('signed out')]);
    const old = await leader.postJson(path, { ...batch([]), csrf: 'old' });
    expect([old.status, old.body.sentence]).toEqual([403, expect.any(String)]);
    const other = await cast.browser('other leader').postJson(path, batch([]));
    expect([other.status, other.body.sentence]).toEqual([403, expect.any(String)]);
  });

  it('lets a coordinator read the roll and not write on it', async () => {
    const { cast, path } = await layDay();
    const coordinator = cast.browser('coordinator');
    expect((await stateOf(coordinator, path)).people).toHaveLength(3);
    expect((await coordinator.postJson(path, batch([sent('m1', ARRIVED)]))).status).toBe(403);
    expect((await coordinator.post(path, { who: 'm1', kind: 'arrived' })).status).toBe(403);
  });

  it('opens a day before people gather, to the millisecond', async () => {
    const { cast, path, site, walk } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    site.clock.now = walk.gatherAt - 24 * 3_600_000 - 1;
    expect((await leader.postJson(path, batch([sent('m1', ARRIVED)]))).status).toBe(403);
    site.clock.now += 1;
    expect((await leader.postJson(path, batch([sent('m1', ARRIVED)]))).status).toBe(200);
  });

  it('keeps what comes after the walk is closed, and says so', async () => {
    const { cast, path, site, walk } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    site.db.raw.prepare("UPDATE walks SET state = 'closed', closed_at = ? WHERE id = ?").run(site.clock.now, walk.id);
    const answer = await leader.postJson(path, batch([sent('m1', ARRIVED)]));
    expect([answer.status, answer.body.closed, answer.body.state.entries.length]).toEqual([409, true, 1]);
  });

  it.each([
    ['too many entries', () => batch(Array.from({ length: 501 }, () => sent('m1', ARRIVED))), 400],
    ['no entries', () => ({ device: 'phone-of-lena', sentAt: 0 }), 400],
    ['a time that is none', () => batch([], { sentAt: 1e300 }), 400],
    ['more than a body may hold', () => batch([], { people: [{ key: 'k'.repeat(300_000), name: 'x' }] }), 413],
  ])('refuses %s', async (_, body, status) => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const answer = await leader.postJson(path, body());
    expect([answer.status, answer.body.sentence]).toEqual([status, expect.any(String)]);
  });

  it('takes 500 entries at once', async () => {
    const { cast, path } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    const answer = await leader.postJson(path, batch(Array.from({ length: 500 }, () => sent('m1', ARRIVED))));
    expect(answer.status).toBe(200);
  });

  it('takes JSON on no other route', async () => {
    const { cast, path, walk } = await layDay();
    const leader = cast.browser('leader');
    await stateOf(leader, path);
    expect((await leader.postJson(`/lead/walks/${walk.id}/message`, {})).status).toBe(415);
  });
});
