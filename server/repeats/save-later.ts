import type { Tx } from '../db/open.js';
import { alignLot } from '../notices/owe.js';
import type { Services } from '../services.js';
import { applyCancel, applyEdit, type Edit, type Why } from '../walks/save.js';
import { factsOf, walkById } from '../walks/store.js';
import { type Editor, laterWalks } from './later-store.js';
import { type LaterPlan, planLater } from './plan-later.js';
import { isAsSeen } from './scope.js';

/**
 * Saves an edit of a walk and of the later ones of its series, all or nothing, in one transaction: whoever is signed up for several hears of
 * them in one mail. 'changed' where someone else saved the walk meanwhile, 'later' where a later one is not as it was seen; nothing is
 * written then.
 * @param seen the versions the leader saw, by walk
 */
export function saveWithLater(services: Services, edit: Edit, editor: Editor, seen: Map<number, number>): 'saved' | 'changed' | 'later' {
  const outcome = services.db.write((tx) => {
    const walk = walkById(tx, edit.walkId);
    if (walk?.version !== edit.opened || walk.state === 'cancelled') return 'changed';
    const later = planLater(services, walk, { base: factsOf(walk), mine: edit.facts }, editor);
    if (!isAsSeen(later, seen) || later.some((one) => one.refused !== '')) return 'later';
    const lot = `edit:${walk.id}:${walk.version + 1}`;
    applyEdit(tx, services, walk, edit, lot);
    for (const one of later.filter(({ changed }) => changed.length > 0)) applyEdit(tx, services, one.walk, laterAs(one, edit), lot);
    alignLot(tx, lot);
    return 'saved';
  });
  services.mailOwed();
  return outcome;
}

/** A later walk's draft stays one: each is posted when its leader has looked at it. */
function laterAs({ facts }: LaterPlan, edit: Edit): Pick<Edit, 'facts' | 'by' | 'tell' | 'post'> {
  return { facts, by: edit.by, tell: edit.tell, post: false };
}

/** Cancels a walk and the later ones of its series, for one reason; 'later' where they are not as they were seen, and nothing is cancelled. */
export function cancelWithLater(
  services: Services,
  walkId: number,
  editor: Editor,
  { why, seen }: { why: Why; seen: Map<number, number> },
): 'cancelled' | 'later' {
  const outcome = services.db.write((tx) => cancelAll(tx, services, walkId, editor, { why, seen }));
  services.mailOwed();
  return outcome;
}

function cancelAll(
  tx: Tx,
  services: Services,
  walkId: number,
  editor: Editor,
  { why, seen }: { why: Why; seen: Map<number, number> },
): 'cancelled' | 'later' {
  const walk = walkById(tx, walkId);
  if (!walk || (walk.state !== 'posted' && walk.state !== 'draft')) return 'cancelled';
  const later = laterWalks(tx, walk, editor, services.now());
  if (!isAsSeen(later, seen)) return 'later';
  const lot = `cancel:${walk.id}:${walk.version + 1}`;
  for (const one of [walk, ...later.filter(({ mine }) => mine).map((each) => each.walk)])
    applyCancel(tx, services, one, { by: editor.id, why, lot });
  return 'cancelled';
}
