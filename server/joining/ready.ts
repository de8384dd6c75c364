import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { readyLetter } from './letters.js';
import { oweCoordinators } from './owe.js';
import { progressOf } from './progress.js';
import { missing } from './steps.js';
import { changeOpen, type FoundApplication, openApplications } from './store.js';

/**
 * Tells the coordinators, once, of each open application whose steps are all done: the steps are taken on pages of their own, which need
 * not know of applications. Gives how many.
 */
export function oweReady(tx: Tx, context: OweContext): number {
  const ready = newlyReady(tx, context);
  for (const { application, areaName } of ready) {
    changeOpen(tx, application.id, { readyAt: context.now });
    oweCoordinators(tx, context, {
      kind: 'application',
      event: `application-ready:${application.id}`,
      letter: readyLetter({ ...application, areaName }),
    });
  }
  return ready.length;
}

/** Open applications whose steps are all done, and of which the coordinators have not heard. */
export function newlyReady(q: Tx, context: OweContext): FoundApplication[] {
  return openApplications(q).filter((found) => found.application.readyAt === null && isReady(q, context, found));
}

function isReady(tx: Tx, context: OweContext, { application, email }: FoundApplication): boolean {
  return missing(progressOf(tx, context, { id: application.personId, email }, application)).length === 0;
}
