import { ALWAYS_TOLD, type FactName, OFFERED, type WalkFacts } from './facts.js';

/** The facts in which two versions of a walk differ. */
export function changedFacts(before: WalkFacts, after: WalkFacts): FactName[] {
  return (Object.keys(after) as FactName[]).filter((name) => JSON.stringify(before[name]) !== JSON.stringify(after[name]));
}

/** Whether an edit must be told to every sign-up: date, times, zone or meeting point changed. */
export function mustTell(changed: FactName[]): boolean {
  return changed.some((name) => (ALWAYS_TOLD as readonly FactName[]).includes(name));
}

/** Whether an edit changed something that the leader may choose to tell. */
export function mayTell(changed: FactName[]): boolean {
  return changed.some((name) => (OFFERED as readonly FactName[]).includes(name));
}

/** Facts that a calendar shows: a change in one raises SEQUENCE (RFC 5545, 3.8.7.4). */
const IN_CALENDAR: FactName[] = [
  'gatherAt',
  'setOffAt',
  'meetingPoint',
  'landmark',
  'lat',
  'lon',
  'distanceMetres',
  'ascentMetres',
  'effortMetres',
  'stops',
  'routeName',
  'locality',
];

export function raisesSequence(changed: FactName[]): boolean {
  return changed.some((name) => IN_CALENDAR.includes(name));
}

/** What the timetable says of a posted walk that moved, in a few words: time and place, or what it said before. */
export function movedWords(before: WalkFacts, after: WalkFacts, said: string): string {
  const words = [timeMoved(before, after), placeMoved(before, after)].filter((word) => word !== '');
  return words.length === 0 ? said : words.join(', ');
}

function timeMoved(before: WalkFacts, after: WalkFacts): string {
  if (before.date !== after.date) return 'New date';
  return before.gatherAt === after.gatherAt ? '' : 'New time';
}

function placeMoved(before: WalkFacts, after: WalkFacts): string {
  if (before.meetingPoint !== after.meetingPoint) return `Moved: now ${after.meetingPoint}`;
  const moved = before.landmark !== after.landmark || before.lat !== after.lat || before.lon !== after.lon;
  return moved ? 'New meeting point' : '';
}

/**
 * What a second leader's form should show when someone saved meanwhile: their own changes over the newest version. A field both
 * changed keeps what the second typed, and is named.
 */
export function mergeEdits(base: WalkFacts, theirs: WalkFacts, mine: WalkFacts): { merged: WalkFacts; both: FactName[] } {
  const mineChanged = changedFacts(base, mine);
  const theirsChanged = changedFacts(base, theirs);
  const kept = Object.fromEntries(mineChanged.map((name) => [name, mine[name]])) as Partial<WalkFacts>;
  return {
    merged: { ...theirs, ...kept },
    both: mineChanged.filter((name) => theirsChanged.includes(name) && JSON.stringify(mine[name]) !== JSON.stringify(theirs[name])),
  };
}
