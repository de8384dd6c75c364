import { oweCoordinators } from '../joining/owe.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkTitle } from '../walks/title.js';
import { when } from '../web/when.js';
import type { GivenRecord } from './form.js';
import { incidentLetter } from './letter.js';
import { firstLookOn } from './rules.js';
import { addIncident, incidentOfPost } from './store.js';

/** Writes an incident down and owes every coordinator the news, in one transaction; gives its number. Posted twice, it is the same one. */
export function recordIncident(
  services: Services,
  walk: WalkRow,
  given: GivenRecord,
  { postMark, by, today }: { postMark: string; by: number; today: string },
): number {
  const { db, sealer, settings, now } = services;
  const made = db.write((tx) => {
    const writing = { walkId: walk.id, postMark, by, now: now(), dueOn: firstLookOn(today) };
    const id = addIncident(tx, sealer, given, writing);
    if (id === undefined) return incidentOfPost(tx, walk.id, postMark);
    const letter = incidentLetter(id, {
      title: walkTitle(walk, settings().units),
      day: when(walk.gatherAt, walk.zone, settings()).fullDate,
    });
    oweCoordinators(tx, oweContext(services), { kind: 'incident', event: `incident:${id}`, letter });
    return id;
  });
  services.mailOwed();
  if (made === undefined) throw new Error('an incident was neither kept nor there before');
  return made;
}
