import { beforeEach, describe, expect, it } from 'vitest';
import { walks } from '../../server/db/schema/index.js';
import { formFields } from '../support/fields.js';
import { batch, type Day, HALF_HOUR_MS, layDay, sent, stateOf } from '../support/roll.js';

/** What happens to a walk while people are out on it. */
let day: Day;
const AT_HOME = { kind: 'safety', reason: 'Storm warning' };

beforeEach(async () => {
  day = await layDay();
  day.site.clock.now = day.walk.setOffAt + HALF_HOUR_MS;
});

const row = () =>
  day.site.db.q
    .select()
    .from(walks)
    .all()
    .find((one) => one.id === day.walk.id);
const cancel = () => day.cast.browser('coordinator').post(`/lead/walks/${day.walk.id}/cancel`, AT_HOME);

async function say(...entries: unknown[]) {
  const leader = day.cast.browser('leader');
  await stateOf(leader, day.path);
  expect((await leader.postJson(day.path, batch(entries))).status).toBe(200);
}

describe('cancelling', () => {
  it('is refused while the roll says that somebody set off: the way is to account for them and close', async () => {
    await say(sent('m1', { kind: 'set off' }));
    const refused = await cancel();
    expect([refused.status, refused.text]).toEqual([409, expect.stringContaining('People are out on this walk')]);
    expect((await day.cast.browser('leader').get(`/lead/walks/${day.walk.id}/cancel`)).status).toBe(409);
    expect(row()?.state).toBe('posted');
  });

  it('is refused where two phones differ about whether somebody set off', async () => {
    await say(sent('m1', { kind: 'not walking' }), sent('m1', { kind: 'set off' }));
    expect((await cancel()).status).toBe(409);
  });

  it('is refused once the group is on its way, whoever was tapped', async () => {
    await say(sent('group', { kind: 'group', at: 'set off' }));
    expect((await cancel()).status).toBe(409);
  });

  it('is open at the meeting point, however late, and where a tap was taken back', async () => {
    const off = sent('m1', { kind: 'set off' });
    await say(off, sent('m1', { kind: 'arrived' }, { after: [off.entry] }), sent('m3', { kind: 'not walking' }));
    expect((await cancel()).status).toBe(303);
    expect(row()?.state).toBe('cancelled');
  });
});

describe('the stops', () => {
  /** The edit form as it stands, with some fields changed, saved. */
  async function edit(changed: Record<string, string>) {
    const leader = day.cast.browser('leader');
    const path = `/lead/walks/${day.walk.id}/edit`;
    return leader.post(path, { ...formFields((await leader.get(path)).text), intent: 'save', ...changed });
  }
  const WITHOUT_FIRST = {
    'stops[0][kind]': '',
    'stops[0][name]': '',
    'stops[0][distance]': '',
    'stops[0][minutes]': '',
    'explain[toilets]': 'At the start',
  };
  const stops = () => row()?.stops.map((stop) => stop.name);

  it('that the roll counts by stay where they are: it knows them by number', async () => {
    await say(sent('group', { kind: 'group', at: 'stop', stop: 1 }), sent('m1', { kind: 'stop', stop: 1 }));
    const refused = await edit(WITHOUT_FIRST);
    expect([refused.status, refused.text]).toEqual([422, expect.stringContaining('The roll counts people here')]);
    expect((await edit({ 'stops[0][distance]': '7' })).status).toBe(422);
    expect(stops()).toEqual(['Weir bridge', 'Mill']);
    expect((await edit({ 'stops[0][name]': 'Weir footbridge' })).status).toBe(303);
    expect((await edit({ 'stops[1][distance]': '5.2', 'explain[water]': 'A tap at mile 3' })).status).toBe(303);
    expect(stops()).toEqual(['Weir footbridge', 'Mill']);
  });

  it('change as ever where nobody was counted at them', async () => {
    await say(sent('m1', { kind: 'set off' }));
    expect((await edit(WITHOUT_FIRST)).status).toBe(303);
    expect(stops()).toEqual(['Mill']);
  });
});
