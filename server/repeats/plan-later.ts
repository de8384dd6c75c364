import { differences } from '../notices/difference.js';
import type { Services } from '../services.js';
import { type CheckItem, unexplained, walkCheck } from '../walkcheck/rules.js';
import { type Near, nearOf } from '../walks/checked.js';
import { changedFacts } from '../walks/edit.js';
import { FACT_LABELS } from '../walks/fact-labels.js';
import type { FactName, WalkFacts } from '../walks/facts.js';
import type { WalkRow } from '../walks/ledby.js';
import { factsOf } from '../walks/store.js';
import { type FactToPost, missingToPost } from '../walks/to-post.js';
import { when } from '../web/when.js';
import { laterEdit } from './later.js';
import { type Editor, laterWalks, minorsOnEach, type SignedUp, signedUpOn } from './later-store.js';

/** What an edit makes of one later walk of the series. */
export interface LaterPlan {
  walk: WalkRow;
  /** False where someone else leads it: it is left as it is. */
  mine: boolean;
  facts: WalkFacts;
  changed: FactName[];
  kept: string[];
  /** Why the edit can't be made on it, as a sentence; '' where it can. */
  refused: string;
  /** What the walk check finds that it did not before. */
  found: CheckItem[];
  differences: ReturnType<typeof differences>;
  signedUp: SignedUp[];
}

interface Edited {
  base: WalkFacts;
  mine: WalkFacts;
}

/**
 * What an edit of one walk makes of each later one, soonest first. Statements: the walks, their sign-ups, their minors, and each route and
 * area among them once.
 */
export function planLater(services: Services, walk: WalkRow, edited: Edited, editor: Editor): LaterPlan[] {
  const { q } = services.db;
  const later = laterWalks(q, walk, editor, services.now());
  if (later.length === 0) return [];
  const signedUp = signedUpOn(
    q,
    later.map((one) => one.walk.id),
  );
  const minors = minorsOnEach(
    q,
    later.map((one) => one.walk),
  );
  const near = nearOnce(services);
  return later.map((one) => {
    const own = signedUp.filter((row) => row.walkId === one.walk.id);
    const confirmed = own.filter((row) => row.state === 'confirmed').reduce((sum, row) => sum + row.partySize, 0);
    const people = { confirmed, minorsSignedUp: minors.get(one.walk.id) ?? 0 };
    return { ...planOne(services, one, edited, people, near), signedUp: own };
  });
}

function planOne(
  services: Services,
  { walk, mine }: { walk: WalkRow; mine: boolean },
  edited: Edited,
  people: { confirmed: number; minorsSignedUp: number },
  near: (facts: WalkFacts) => Near,
): Omit<LaterPlan, 'signedUp'> {
  const before = factsOf(walk);
  if (!mine) return { walk, mine, facts: before, changed: [], kept: [], refused: '', found: [], differences: [] };
  const edit = laterEdit(edited.base, edited.mine, { facts: before, ...people }, services.now());
  const check = (facts: WalkFacts) => walkCheck(facts, { ...near(facts), ...around(services, walk), others: [] });
  const facts = { ...edit.facts, explained: { ...before.explained, ...newReasons(edited, check(edit.facts)) } };
  const known = check(before);
  const found = check(facts).filter((item) => item.reason === '' && !known.some((one) => one.key === item.key && one.title === item.title));
  const changed = changedFacts(before, facts);
  const why = edit.refused || (walk.state === 'posted' && changed.length > 0 ? inTheWay(facts, found) : '');
  return {
    walk,
    mine,
    facts,
    changed,
    kept: edit.kept,
    refused:
      why === ''
        ? ''
        : `${when(Date.parse(edit.date), 'UTC', services.settings()).fullDate}: ${why}. Edit that walk on its own, or this one only.`,
    found,
    differences: differences(before, facts, 'all', services.settings()),
  };
}

/** Why a walk can't stay posted with these facts; '' where it can. */
function inTheWay(facts: WalkFacts, found: CheckItem[]): string {
  const missing = (Object.keys(missingToPost(facts)) as FactToPost[]).map((name) => (FACT_LABELS[name] ?? name).toLowerCase());
  if (missing.length > 0) return `it is posted, so its ${missing.join(' and its ')} cannot be empty`;
  const [open] = unexplained(found);
  return open ? `there is something to mend: ${open.title}` : '';
}

function around(services: Services, walk: WalkRow) {
  return { settings: services.settings(), now: services.now(), when: walk.state === 'draft' ? ('draft' as const) : ('posted' as const) };
}

/** Reasons given in this very edit, for what is found on the later walk, too. */
function newReasons({ base, mine }: Edited, check: CheckItem[]): Record<string, string> {
  const open = new Set(
    unexplained(check)
      .filter((item) => item.explain)
      .map((item) => item.key),
  );
  return Object.fromEntries(Object.entries(mine.explained).filter(([key, reason]) => open.has(key) && base.explained[key] !== reason));
}

/** Where each walk is, looked up once for all that share it. */
function nearOnce(services: Services): (facts: WalkFacts) => Near {
  const known = new Map<string, Near>();
  return (facts) => {
    const key = `${facts.routeId} ${facts.areaId} ${facts.routeName}`;
    const near = known.get(key) ?? nearOf(services, facts);
    known.set(key, near);
    return near;
  };
}
