import { beforeEach, describe, expect, it } from 'vitest';
import { walks } from '../../server/db/schema/index.js';
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
