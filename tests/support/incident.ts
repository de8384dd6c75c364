import { addIncident } from '../../server/incidents/store.js';
import type { TestSite } from './app.js';
import { type Cast, walkFacts } from './cast.js';

/** An incident that the leader wrote down on the cast's walk; gives its number. */
export function layIncident(site: TestSite, cast: Cast): number {
  const record = {
    ...({ kind: 'heat', name: 'Somebody', where: 'finish', whereText: '', date: '2026-12-05', time: '09:30' } as const),
    ...{ what: 'Felt dizzy.', done: 'Shade.', called: false, seenBy: '', needsMore: true },
  };
  const made = { walkId: cast.walkId, postMark: 'laid-for-the-test', by: cast.ids.leader, now: walkFacts().gatherAt, dueOn: '2026-12-08' };
  const id = site.db.write((tx) => addIncident(tx, site.services.sealer, { who: '', record }, made));
  if (id === undefined) throw new Error('no incident was laid');
  return id;
}
