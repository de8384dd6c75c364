import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { leaderMonths } from '../../server/commitment/store.js';
import { type NextWalk, nextNear } from '../../server/day/next-walks.js';
import { dueAt } from '../../server/day/not-closed.js';
import { notClosedDue } from '../../server/day/not-closed-store.js';
import { isInTime } from '../../server/day/thanks.js';
import { notices, walks } from '../../server/db/schema/index.js';
import { minutelyJobs } from '../../server/jobs.js';
import { mailMaker } from '../../server/notices/mail.js';
import { stillStands } from '../../server/notices/stands.js';
import { oweContext, saveNewWalk } from '../../server/walks/save.js';
import type { TestSite } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { AFTERNOON, endingFields, rowsOf, SET_OFF, turnUp, walkOut } from './walk-out.js';

const DAY_MS = 24 * 60 * 60 * 1000;

function mailTo(site: TestSite, email: string, kind: 'thanks' | 'not-closed') {
  const row = site.db.q
    .select()
    .from(notices)
    .where(eq(notices.toEmail, email))
    .all()
    .find((one) => one.kind === kind);
  if (!row) throw new Error(`no mail to ${email}`);
  return { row, mail: mailMaker(site.services, site.views).make(row), stands: stillStands(site.db.q, oweContext(site.services), row) };
}

describe('thanks', () => {
  it('go to each address that walked, with the miles and the next walks, and to nobody who did not come', async () => {
    const { site, cast, path } = await walkOut();
    turnUp(site, cast.walkId, 'Tess Ward');
    saveNewWalk(site.services, walkFacts({ date: '2026-12-12', routeName: 'Mill lade' }), cast.ids.leader, 'posted');
    const tess: [string, string, Record<string, string>] = ['tturnedup1', 'short-1', { email: 'tess@walkers.example' }];
    await cast.browser('leader').post(path, endingFields(['m1', 'full'], ['m2', 'short-1'], ['m3', 'absent'], tess));
    expect(rowsOf(site, "SELECT to_name, to_email FROM notices WHERE kind = 'thanks' ORDER BY to_email")).toEqual([
      { to_name: 'Ana Ferreira', to_email: 'ana@walkers.example' },
      { to_name: 'Tess Ward', to_email: 'tess@walkers.example' },
    ]);
    const { mail } = mailTo(site, 'ana@walkers.example', 'thanks');
    expect(mail.subject).toBe('Thank you for walking: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(mail.text).toContain('- Ana Ferreira: 8.2 mi\n- Ben Birch: 3.7 mi\n');
    expect(mail.text).toContain('Next walks nearby:\n- 8-mile walk: Mill lade, Lantern Hills\n  Sat, Dec 12, 2026');
    expect(mail.text).toContain('/me/log');
    expect(mailTo(site, 'tess@walkers.example', 'thanks').mail.html).toContain('You walked <b>3.7 mi</b>');
    site.db.write((tx) =>
      tx
        .update(walks)
        .set({ state: 'cancelled', cancelKind: 'other', cancelReason: 'None', cancelledAt: AFTERNOON })
        .where(eq(walks.routeName, 'Mill lade'))
        .run(),
    );
    expect(mailTo(site, 'ana@walkers.example', 'thanks').mail.text).not.toContain('Mill lade');
  });

  it('that wait go no more to someone who is found not to have come, and say what was put right', async () => {
    const { site, cast, path } = await walkOut();
    const leader = cast.browser('leader');
    await leader.post(path, endingFields(['m1', 'full'], ['m2', 'absent'], ['m3', 'full']));
    await leader.post(path, endingFields(['m1', 'short-1'], ['m2', 'absent'], ['m3', 'absent']));
    expect(mailTo(site, 'cleo@walkers.example', 'thanks').stands).toBe(false);
    const ana = mailTo(site, 'ana@walkers.example', 'thanks');
    expect([ana.stands, ana.mail.text.includes('You walked 3.7 mi.')]).toEqual([true, true]);
  });

  it('for a minor who turned up go to whoever answers for them', async () => {
    const { site, cast, path } = await walkOut();
    turnUp(site, cast.walkId, 'Mia Hale', 'm1');
    await cast.browser('leader').post(path, endingFields(['m1', 'absent'], ['m2', 'absent'], ['m3', 'absent'], ['tturnedup1', 'full']));
    expect(rowsOf(site, "SELECT to_name, to_email FROM notices WHERE kind = 'thanks'")).toEqual([
      { to_name: 'Ana Ferreira', to_email: 'ana@walkers.example' },
    ]);
  });

  it('are for a walk closed within two weeks', () => {
    expect(isInTime({ setOffAt: 1000 }, 1000 + 14 * DAY_MS - 1)).toBe(true);
    expect(isInTime({ setOffAt: 1000 }, 1000 + 14 * DAY_MS)).toBe(false);
  });

  it('name the next three of the area, then the nearest of others', () => {
    const walk = (id: number, areaId: number, lat: number) => ({ id, areaId, lat, lon: -85, gatherAt: id }) as NextWalk;
    const coming = [walk(1, 2, 44), walk(2, 2, 41.5), walk(3, 1, 41), walk(4, 3, 42), walk(5, 1, 41)];
    const here = { areaId: 1, lat: 41, lon: -85 };
    expect(nextNear(here, coming).map(({ id }) => id)).toEqual([3, 5, 2]);
    expect(nextNear(here, [...coming, walk(6, 1, 41), walk(7, 1, 41)]).map(({ id }) => id)).toEqual([3, 5, 6]);
    expect(nextNear(here, [])).toEqual([]);
  });
});

describe('a walk that nobody closed', () => {
  const due = dueAt({ wallDate: '2026-12-05', zone: 'America/New_York' });
  const reminded = (site: TestSite) =>
    rowsOf(site, "SELECT to_email AS at FROM notices WHERE kind = 'not-closed' ORDER BY id").map((row) => (row as { at: string }).at);

  it('reminds its leaders the next evening, and the coordinators an evening later, once each', async () => {
    const { site, cast } = await walkOut();
    const run = minutelyJobs(site.services);
    const at = (now: number) => {
      site.clock.now = now;
      run();
      run();
      return reminded(site);
    };
    expect(at(due.leader - 1)).toEqual([]);
    expect(at(due.leader).sort()).toEqual(['leader@waymeet.example', 'third@waymeet.example']);
    // The next minutes have nothing to write: a write would drop kept pages.
    expect(notClosedDue(site.db.q, due.leader)).toEqual([]);
    expect(at(due.coordinator - 1)).toHaveLength(2);
    expect(at(due.coordinator).slice(2)).toEqual(['coordinator@waymeet.example']);
    expect(at(due.coordinator + DAY_MS)).toHaveLength(3);
    const { mail } = mailTo(site, 'coordinator@waymeet.example', 'not-closed');
    expect(mail.text).toContain('Lena Marsh leads it: +12025550110. Ring: is everyone back?');
    expect(mail.text).toContain(`/lead/walks/${cast.walkId}/close`);
    expect(mailTo(site, 'leader@waymeet.example', 'not-closed').mail.text).toContain('Your walk is over, and not closed yet:');
  });

  it('reminds nobody of one that was closed, nor once it is closed while the mail waits', async () => {
    const { site, cast, path } = await walkOut();
    const run = minutelyJobs(site.services);
    site.clock.now = due.leader;
    run();
    expect(mailTo(site, 'leader@waymeet.example', 'not-closed').stands).toBe(true);
    await cast.browser('leader').post(path, endingFields(['m1', 'full'], ['m2', 'full'], ['m3', 'full']));
    expect(mailTo(site, 'leader@waymeet.example', 'not-closed').stands).toBe(false);
    site.clock.now = due.coordinator;
    run();
    expect(reminded(site)).not.toContain('coordinator@waymeet.example');
  });

  it('counts for whoever led it, closed or not', async () => {
    const { site, cast, path } = await walkOut();
    const kept = () => leaderMonths(site.db.q, ['2026-12'], site.clock.now, cast.ids.leader)[0]?.months[0]?.kept;
    const { text } = await cast.browser('leader').get('/lead');
    expect(text).toContain('Not closed: close it');
    // First of all, above the walks to come.
    expect(text).toMatch(/To close, once everyone is back<\/h2>[\s\S]*\/close">Close [\s\S]*<h2>Coming/);
    expect(kept()).toBe(1);
    await cast.browser('leader').post(path, endingFields(['m1', 'full'], ['m2', 'full'], ['m3', 'full']));
    expect((await cast.browser('leader').get('/lead')).text).not.toMatch(/Not closed|To close/);
    expect(kept()).toBe(1);
    site.clock.now = SET_OFF - 1;
    expect(kept()).toBe(1);
  });
});
