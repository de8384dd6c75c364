import { groups, line, type Typed, ticked } from '../web/forms.js';

/** What the buttons for one more walker, or one less, ask; `remove` is a place in the party, or empty. */
export interface Change {
  add: 'adult' | 'minor' | null;
  remove: string;
}

/** What the party's buttons ask; null where none of them was pressed. */
export function changeAsked(typed: Typed): Change | null {
  const add = line(typed, 'add');
  const change: Change = { add: add === '' ? null : add === 'minor' ? 'minor' : 'adult', remove: line(typed, 'removeMember') };
  return change.add !== null || change.remove !== '' ? change : null;
}

/** The form as it was typed, with one more walker, or without one; and who went along: minors go with their guardian. Pure. */
export function withParty(typed: Typed, change: Change): { typed: Typed; alsoRemoved: string[] } {
  const members = groups(typed, 'members');
  const gone = new Set(members.flatMap((member, index) => (isGone(member, index, change.remove) ? [index] : [])));
  const places = new Map(members.flatMap((_, index) => (gone.has(index) ? [] : [index])).map((old, now) => [String(old), String(now)]));
  const kept = members.flatMap((member, index) => (gone.has(index) ? [] : [withGuardian(member, places)]));
  const added: Typed[] = change.add === null ? [] : [change.add === 'minor' ? { minor: 'yes' } : {}];
  const also = members.filter((_, index) => gone.has(index) && String(index) !== change.remove);
  return { typed: { ...typed, members: [...kept, ...added] }, alsoRemoved: also.map((member) => line(member, 'name')) };
}

function isGone(member: Typed, index: number, remove: string): boolean {
  return remove !== '' && (String(index) === remove || (ticked(member, 'minor') && line(member, 'guardian') === remove));
}

/** Guardians are named by their place, and places move up. */
function withGuardian(member: Typed, places: Map<string, string>): Typed {
  const guardian = places.get(line(member, 'guardian'));
  return guardian === undefined ? member : { ...member, guardian };
}
