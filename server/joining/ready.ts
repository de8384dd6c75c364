import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { readyLetter } from './letters.js';
import { oweCoordinators } from './owe.js';
import { progressOfAll } from './progress.js';
import { missing, type Progress } from './steps.js';
import { applicantOf, changeOpen, type FoundApplication, openApplications } from './store.js';

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
  const untold = openApplications(q).filter(({ application }) => application.readyAt === null);
  const progress = progressOfAll(q, context, untold.map(applicantOf));
  return untold.filter((_, index) => isReady(progress[index]));
}

function isReady(progress: Progress | undefined): boolean {
  return progress !== undefined && missing(progress).length === 0;
}
