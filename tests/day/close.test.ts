import { describe, expect, it } from 'vitest';
import { CORRECTED_FOR_MS } from '../../server/day/closing-rules.js';
import { keepEntries } from '../../server/day/store.js';
import { forgetHazards } from '../../server/privacy/forget.js';
import { finishTimes } from '../../server/walks/finish.js';
import { walkById } from '../../server/walks/store.js';
import type { TestSite } from '../support/app.js';
import { formFields } from '../support/fields.js';
import { member, signUpForm } from '../support/sign-up.js';
import { WALK_FIELDS } from '../support/walk-fields.js';
import { AFTERNOON, endingFields, rowsOf, SET_OFF, turnUp, walkOut } from './walk-out.js';

const LEFT = { told: 'back marker', home: 'taxi' };
const ALL = endingFields(['m1', 'full'], ['m2', 'left-1', LEFT], ['m3', 'absent']);

const attendance = (site: TestSite) => rowsOf(site, 'SELECT member_id AS m, outcome, stop, metres FROM attendance ORDER BY id');
const thanked = (site: TestSite) => rowsOf(site, "SELECT to_email FROM notices WHERE kind = 'thanks' ORDER BY id");
const entries = (site: TestSite) => rowsOf(site, 'SELECT who, said FROM roll_entries ORDER BY id');

/** Something that a phone said, heard at an instant. */
function phoneSays(
  site: TestSite,
  walkId: number,
  who: string,
  said: { kind: 'set off' | 'arrived' | 'finished' },
  at: number,
  after: string[] = [],
) {
  const entry = `phone-entry-${who}-${said.kind.replace(' ', '-')}`;
  const clock = { deviceAt: at, sentAt: at, receivedAt: at };
  site.db.write((tx) => keepEntries(tx, walkId, [{ entry, who, said, after, device: 'phone-1234', ...clock, byPersonId: null }]));
  return entry;
}

/** Where the group is, as a phone said it. */
function groupSays(site: TestSite, walkId: number, at: 'set off' | 'finish', after: string[]) {
  const clock = { deviceAt: SET_OFF - 1, sentAt: SET_OFF - 1, receivedAt: SET_OFF - 1 };
  const entry = `group-entry-${at.replace(' ', '-')}`;
  site.db.write((tx) =>
    keepEntries(tx, walkId, [
      { entry, who: 'group', said: { kind: 'group', at }, after, device: 'phone-1234', ...clock, byPersonId: null },
    ]),
  );
}

describe('closing a walk', () => {
  it('is for a walk that has set off: not an instant sooner', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    site.clock.now = SET_OFF - 1;
    const early = await leader.get(path);
    expect([early.status, early.text]).toEqual([409, expect.stringContaining('This walk has not set off')]);
    expect((await leader.post(path, ALL)).status).toBe(409);
    site.clock.now = SET_OFF;
    expect((await leader.get(path)).status).toBe(200);
  });

  it('and for one whose roll is at the finish, whatever its hour', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    site.clock.now = SET_OFF - 1;
    groupSays(site, cast.walkId, 'set off', []);
    expect((await leader.get(path)).status).toBe(409);
    groupSays(site, cast.walkId, 'finish', ['group-entry-set-off']);
    expect((await leader.get(path)).status).toBe(200);
    expect((await leader.post(path, ALL)).headers.location).toBe(`${path}?saved=1`);
  });

  it("is asked for on the walk's page once the first may be back: not an instant sooner", async () => {
    const { site, cast } = await walkOut();
    const walk = walkById(site.db.q, cast.walkId);
    if (!walk) throw new Error('the walk is missing');
    const { fastest } = finishTimes(walk, site.services.settings());
    const page = async (now: number) => {
      site.clock.now = now;
      return (await cast.browser('leader').get(`/lead/walks/${cast.walkId}`)).text;
    };
    expect(await page(fastest - 1)).not.toContain('Everyone back?');
    expect(await page(fastest)).toContain('Everyone back?');
  });

  it('settles everyone where the roll was kept on paper, in the roll itself', async () => {
    const { site, cast, path } = await walkOut();
    const answer = await cast.browser('leader').post(path, ALL);
    expect([answer.status, answer.headers.location]).toEqual([303, `${path}?saved=1`]);
    expect(rowsOf(site, `SELECT state, closed_at FROM walks WHERE id = ${cast.walkId}`)).toEqual([
      { state: 'closed', closed_at: AFTERNOON },
    ]);
    expect(attendance(site)).toEqual([
      { m: 1, outcome: 'full', stop: 0, metres: 13_197 },
      { m: 2, outcome: 'left', stop: 1, metres: 4000 },
      { m: 3, outcome: 'absent', stop: 0, metres: 0 },
    ]);
    expect(entries(site)).toEqual([
      { who: 'm1', said: '{"kind":"finished"}' },
      { who: 'm2', said: '{"kind":"left","stop":1,"told":"back marker","home":"taxi"}' },
      { who: 'm3', said: '{"kind":"not walking"}' },
    ]);
    expect((await cast.browser('leader').get(`${path}?saved=1`)).text).toContain('Everyone is accounted for');
  });

  it('names each who is not accounted for, keeps what was typed, and closes nothing', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    phoneSays(site, cast.walkId, 'm1', { kind: 'set off' }, SET_OFF);
    const shown = await leader.get(path);
    expect(shown.text).toContain(`/lead/walks/${cast.walkId}/roll`);
    expect(shown.text).toMatch(/<b>Ana Ferreira<\/b>, set off, and not seen since/);
    const refused = await leader.post(path, {
      ...endingFields(['m1', ''], ['m2', 'left-0'], ['m3', 'short-1']),
      'hazards[0][what]': 'Bridge out',
    });
    expect(refused.status).toBe(422);
    for (const sentence of [
      'Say how the walk ended for Ana Ferreira.',
      'Say whom Ben Birch told.',
      'Say how Ben Birch got home.',
      'Say where: a stop',
    ])
      expect(refused.text).toContain(sentence);
    expect(refused.text).toContain('value="Bridge out"');
    expect(refused.text).toMatch(/<option value="short-1" selected>/);
    expect([attendance(site), thanked(site), rowsOf(site, "SELECT id FROM walks WHERE state = 'closed'")]).toEqual([[], [], []]);
  });

  it('names the guardian of a minor', async () => {
    const guardian = member({ name: 'Gus Hale' });
    const minor = member({ name: 'Mia Hale', minor: true, guardian: 0, signature: 'Gus Hale' });
    const { cast, path } = await walkOut(signUpForm({ name: 'Gus Hale', email: 'gus@walkers.example', members: [guardian, minor] }));
    const { status, text } = await cast.browser('leader').get(path);
    expect([status, text]).toEqual([200, expect.stringMatching(/value="m5"[\s\S]{0,300}With Gus Hale/)]);
  });

  it('takes everyone whom nothing was said of as having walked it all, only where that is said, and never where a roll was kept', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    const blank = endingFields(['m1', ''], ['m2', 'short-1'], ['m3', '']);
    expect((await leader.post(path, blank)).status).toBe(422);
    phoneSays(site, cast.walkId, 'm3', { kind: 'arrived' }, SET_OFF);
    const refused = await leader.post(path, { ...blank, rest: 'yes' });
    expect([refused.status, refused.text]).toEqual([422, expect.stringContaining('Say how the walk ended for Cleo Dane.')]);
    expect((await leader.post(path, { ...endingFields(['m1', ''], ['m2', 'short-1'], ['m3', 'full']), rest: 'yes' })).status).toBe(422);
  });

  it('and does so where it was', async () => {
    const { site, cast, path } = await walkOut();
    await cast.browser('leader').post(path, { ...endingFields(['m1', ''], ['m2', 'short-1'], ['m3', '']), rest: 'yes' });
    expect(attendance(site)).toMatchObject([{ metres: 13_197 }, { outcome: 'short', stop: 1, metres: 6000 }, { metres: 13_197 }]);
  });

  it('twice, and two at once, is once', async () => {
    const { site, cast, path } = await walkOut();
    const form = { ...ALL, 'new[0][name]': 'Ivo Pike', 'new[0][email]': 'ivo@walkers.example', 'new[0][ended]': 'full' };
    const hazard = { 'hazards[0][place]': 'Lower lock', 'hazards[0][what]': 'Towpath closed', 'hazards[0][until]': '' };
    const both = [cast.browser('leader'), cast.browser('co-leader')].map((one) => one.post(path, { ...form, ...hazard }));
    expect((await Promise.all(both)).map((answer) => answer.status)).toEqual([303, 303]);
    expect((await cast.browser('leader').post(path, { ...form, ...hazard })).status).toBe(303);
    expect(entries(site)).toHaveLength(4);
    expect(attendance(site)).toHaveLength(4);
    expect(rowsOf(site, 'SELECT name, email FROM turned_up')).toEqual([{ name: 'Ivo Pike', email: 'ivo@walkers.example' }]);
    expect(rowsOf(site, 'SELECT what FROM hazards')).toHaveLength(1);
    expect(thanked(site)).toEqual([{ to_email: 'ana@walkers.example' }, { to_email: 'ivo@walkers.example' }]);
    expect(rowsOf(site, "SELECT id FROM audit_log WHERE action = 'closed a walk'")).toHaveLength(1);
  });

  it('does not write over what a phone said since the form was opened', async () => {
    const { site, cast, path } = await walkOut();
    phoneSays(site, cast.walkId, 'm1', { kind: 'finished' }, SET_OFF + 1);
    const stale = endingFields(['m1', 'absent', { seen: '' }], ['m2', 'full'], ['m3', 'full']);
    const refused = await cast.browser('leader').post(path, stale);
    expect([refused.status, refused.text]).toEqual([422, expect.stringContaining('the roll says of Ana Ferreira: finished. Look again')]);
    expect(attendance(site)).toEqual([]);
  });

  it('lets who turned up leave an address, and never writes over one', async () => {
    const { site, cast, path } = await walkOut();
    turnUp(site, cast.walkId, 'Tess Ward');
    const form = (email: string) => endingFields(['m1', 'full'], ['m2', 'full'], ['m3', 'full'], ['tturnedup1', 'full', { email }]);
    expect((await cast.browser('leader').post(path, form('tess'))).text).toContain('Type an e-mail address');
    await cast.browser('leader').post(path, form('Tess@walkers.example'));
    await cast.browser('leader').post(path, form('else@walkers.example'));
    expect(rowsOf(site, 'SELECT email FROM turned_up')).toEqual([{ email: 'tess@walkers.example' }]);
    expect(thanked(site)).toContainEqual({ to_email: 'tess@walkers.example' });
    expect(thanked(site)).not.toContainEqual({ to_email: 'else@walkers.example' });
  });
});

describe('putting a closed walk right', () => {
  it('goes into the roll and the attendance, for two weeks, and thanks nobody twice', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    await leader.post(path, ALL);
    expect(thanked(site)).toEqual([{ to_email: 'ana@walkers.example' }]);
    site.clock.now = AFTERNOON + CORRECTED_FOR_MS - 1;
    expect((await leader.post(path, endingFields(['m1', 'short-1'], ['m2', 'full'], ['m3', 'absent']))).status).toBe(303);
    expect(attendance(site)).toMatchObject([{ metres: 6000 }, { metres: 13_197 }, { metres: 0 }]);
    expect(entries(site)).toHaveLength(4);
    expect(rowsOf(site, `SELECT closed_at FROM walks WHERE id = ${cast.walkId}`)).toEqual([{ closed_at: AFTERNOON }]);
    expect(thanked(site)).toHaveLength(1);
    site.clock.now = AFTERNOON + CORRECTED_FOR_MS;
    expect((await leader.post(path, ALL)).status).toBe(409);
    const late = await leader.get(path);
    expect([late.status, late.text.includes('<form method="post" action="/lead/walks')]).toEqual([200, false]);
    expect(late.text).toContain('Took the short way at Lower lock, 3.7 mi in all');
  });

  it('does not write over how somebody else closed it since the form was opened', async () => {
    const { site, cast, path } = await walkOut();
    const [first, second] = [cast.browser('leader'), cast.browser('co-leader')];
    const form = formFields((await second.get(path)).text);
    await first.post(path, endingFields(['m1', 'short-1'], ['m2', 'full'], ['m3', 'full']));
    const ways = { 'people[0][ended]': 'full', 'people[1][ended]': 'full', 'people[2][ended]': 'full' };
    const refused = await second.post(path, { ...form, ...ways });
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('Since you opened this page somebody else said of Ana Ferreira: Took the short way at Lower lock');
    expect(attendance(site)).toMatchObject([{ metres: 6000 }, { metres: 13_197 }, { metres: 13_197 }]);
    // Looked at again, it is theirs to say.
    expect((await second.post(path, { ...formFields((await second.get(path)).text), ...ways })).status).toBe(303);
    expect(attendance(site)).toMatchObject([{ metres: 13_197 }, { metres: 13_197 }, { metres: 13_197 }]);
  });

  it('shows what was heard after the close until somebody settles it', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    await leader.post(path, ALL);
    phoneSays(site, cast.walkId, 'm3', { kind: 'arrived' }, AFTERNOON + 1);
    expect((await leader.get(path)).text).toContain('Heard after the walk was closed');
    const walk = `/lead/walks/${cast.walkId}`;
    expect((await leader.get(walk)).text).toContain('A phone said something of 1 person after it was closed');
    site.clock.now = AFTERNOON + 2;
    expect((await leader.post(path, ALL)).status).toBe(303);
    expect((await leader.get(walk)).text).not.toContain('after it was closed');
    expect((await leader.get(`${walk}/roll`)).text).toContain('1 entry came');
    expect((await leader.get(path)).text).not.toContain('Heard after the walk was closed');
  });
});

describe('a hazard', () => {
  const MET = { 'hazards[0][place]': 'Lower lock', 'hazards[0][what]': 'Towpath closed', 'hazards[0][until]': '2027-01-31' };

  it('is shown to whoever copies or checks that route, until somebody says that it is gone', async () => {
    const { cast, path } = await walkOut();
    await cast.browser('leader').post(path, { ...ALL, ...MET });
    const other = cast.browser('other leader');
    const copy = `/lead/walks/new?copy=${cast.walkId}`;
    expect((await other.get(copy)).text).toMatch(/Towpath closed<\/b>, Lower lock.*Noted by Lena Marsh on Sat, Dec 5, 2026/);
    const same = { ...WALK_FIELDS, date: '2026-12-12', routeName: 'QUARRY  lakes loop', intent: 'check' };
    const checked = await other.post('/lead/walks/new', same);
    expect(checked.text).toContain('On this route: Towpath closed (Lower lock)');
    expect(checked.text).toContain('href="/lead/hazards/1"');
    expect((await other.post('/lead/walks/new', { ...same, area: 'east-fork' })).text).not.toContain('Towpath closed');
    const shown = await other.get('/lead/hazards/1');
    expect(shown.text).toContain('It was to last until Sun, Jan 31, 2027.');
    await other.post('/lead/hazards/1', { intent: 'gone' });
    expect((await other.get('/lead/hazards/1')).text).toContain('nobody is shown it any more');
    expect((await other.get(copy)).text).not.toContain('Towpath closed');
  });

  it('is forgotten two years after it was noted: from that instant on', async () => {
    const { site, cast, path } = await walkOut();
    await cast.browser('leader').post(path, { ...ALL, ...MET });
    expect(site.db.write((tx) => forgetHazards(tx, AFTERNOON - 1, 10))).toBe(0);
    expect(site.db.write((tx) => forgetHazards(tx, AFTERNOON, 10))).toBe(1);
  });
});
