import type { RollState } from '../../server/day/roll-state.js';
import { walks } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import type { WalkRow } from '../../server/walks/ledby.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite, type TestSite } from './app.js';
import type { Browser } from './browser.js';
import { type Cast, layCast, walkFacts } from './cast.js';
import { member, signUpForm } from './sign-up.js';

export const HALF_HOUR_MS = 30 * 60_000;

/** Two stops on the way. */
export const STOPS: WalkFacts['stops'] = [
  { kinds: ['toilets'], name: 'Weir bridge', metres: 4000, effortMetres: null, minutes: 10, short: null },
  { kinds: ['water'], name: 'Mill', metres: 8500, effortMetres: null, minutes: 5, short: null },
];

export interface Day {
  site: TestSite;
  cast: Cast;
  walk: WalkRow;
  path: string;
}

/** A walk with two stops, half an hour before people gather. Signed up: Ana (m1) with her child Kit (m2), and Cal (m3). The cast's leader leads, the co-leader shares it. */
export async function layDay(): Promise<Day> {
  const site = await openSite();
  const cast = layCast(site);
  const walkId = saveNewWalk(site.services, walkFacts({ stops: STOPS, minors: true }), cast.ids.leader, 'posted');
  site.db.raw.prepare("INSERT INTO walk_leaders (walk_id, person_id, part) VALUES (?, ?, 'co-leader')").run(walkId, cast.ids['co-leader']);
  const family = [member({ name: 'Ana Ferreira' }), member({ name: 'Kit Ferreira', minor: true, guardian: 0, signature: 'Ana Ferreira' })];
  site.db.write((tx) => {
    keepSignUp(tx, site.services, walkId, signUpForm({ members: family }));
    keepSignUp(tx, site.services, walkId, signUpForm({ name: 'Cal Whitlock', email: 'cal@walkers.example', phone: '+12025550199' }));
  });
  const walk = site.db.q
    .select()
    .from(walks)
    .all()
    .find((one) => one.id === walkId);
  if (!walk) throw new Error('the walk was not kept');
  site.clock.now = walk.gatherAt - HALF_HOUR_MS;
  return { site, cast, walk, path: `/lead/walks/${walkId}/roll` };
}

/** The roll as the page holds it for its script. */
export async function stateOf(browser: Browser, path: string): Promise<RollState> {
  const page = await browser.get(path);
  const json = /<script type="application\/json" id="roll">(.*)<\/script>/.exec(page.text)?.[1];
  if (json === undefined) throw new Error(`no roll in the page: ${page.status}`);
  return JSON.parse(json) as RollState;
}

let count = 0;

/** An entry as a phone sends it. */
export function sent(who: string, said: object, changed: { after?: string[]; at?: number; entry?: string } = {}) {
  count += 1;
  return { entry: `entry-of-a-phone-${count}`, who, said, after: [], at: 0, ...changed };
}

/** A batch as a phone sends it, its clock at `sentAt`. */
export function batch(entries: unknown[], changed: object = {}) {
  return { device: 'phone-of-lena', sentAt: 0, entries, people: [], ...changed };
}
