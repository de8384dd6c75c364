import type { WalkFacts } from '../walks/facts.js';
import { finishTimes } from '../walks/finish.js';
import { areaClash, ownClash } from './clash.js';
import { daylight } from './daylight.js';
import { hazards } from './hazards.js';
import type { CheckAround, Checked, CheckItem, CheckRule } from './items.js';
import { landmark, mapPoint, startElsewhere } from './place.js';
import { brokenRoute, climbDiffers, lengthDiffers, notFollowable, noWayBack, outsideArea, seen } from './route.js';
import { shortTooLong, shortTooShort } from './short-ways.js';
import { beyondFinish, toilets, unusedWaypoints, water } from './spacing.js';
import { date, gathering } from './time.js';
import { noSurface, steepOnAverage, stepsNotFree, surfaceUnsaid } from './underfoot.js';
import { checkWords } from './words.js';

export type { CheckAround, CheckedRoute, CheckItem, OtherWalk } from './items.js';

/** Every rule, in the order of the form. */
const RULES: CheckRule[] = [
  date,
  gathering,
  daylight,
  ownClash,
  areaClash,
  landmark,
  mapPoint,
  startElsewhere,
  outsideArea,
  brokenRoute,
  lengthDiffers,
  climbDiffers,
  steepOnAverage,
  noSurface,
  surfaceUnsaid,
  stepsNotFree,
  toilets,
  water,
  beyondFinish,
  shortTooShort,
  shortTooLong,
  unusedWaypoints,
  notFollowable,
  noWayBack,
  seen,
  hazards,
];

/** What would go wrong on the day, as far as the walk's facts tell: what to mend, and what to think about. Pure. */
export function walkCheck(facts: WalkFacts, around: CheckAround): CheckItem[] {
  const walk: Checked = { facts, around, finish: finishTimes(facts, around.settings), words: checkWords(facts, around.settings) };
  return RULES.flatMap((rule) => rule(walk)).map((found) => ({
    ...found,
    explain: found.explain ?? false,
    reason: found.explain ? (facts.explained[found.key] ?? '') : '',
  }));
}

/** What still stands in the way of posting: to be mended, or explained where that may be. */
export function unexplained(items: CheckItem[]): CheckItem[] {
  return items.filter((item) => item.kind === 'mend' && item.reason === '');
}

/** What goes ahead with a reason: for the public page. */
export function explainedItems(items: CheckItem[]): { title: string; reason: string }[] {
  return items.filter((item) => item.reason !== '').map(({ title, reason }) => ({ title, reason }));
}
