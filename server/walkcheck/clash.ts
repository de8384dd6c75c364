import type { Checked, Found, OtherWalk } from './items.js';
import { listed } from './words.js';

/** Another walk that the same leader leads or shares, in hours that overlap. */
export function ownClash(walk: Checked): Found[] {
  const others = overlapping(walk).filter((other) => other.sameLeader);
  if (others.length === 0) return [];
  return [
    {
      key: 'ownclash',
      kind: 'think',
      title: `Its leader is out then with ${listed(others.map((other) => named(other, walk)))}`,
      why: 'Nobody can lead two walks at once: one group would stand there without a leader.',
      mends: 'Change the date or the hours, or ask someone else to lead one of them.',
      href: 'date',
    },
  ];
}

/** Another leader's walk in the same area, in hours that overlap. */
export function areaClash(walk: Checked): Found[] {
  const others = overlapping(walk).filter((other) => other.sameArea && !other.sameLeader);
  if (others.length === 0) return [];
  return [
    {
      key: 'areaclash',
      kind: 'think',
      title: `${walk.around.area.name} has ${listed(others.map((other) => named(other, walk)))} in the same hours`,
      why: 'Walkers there can come to one of them only. That is fine if the lengths differ.',
      mends: 'Change the date, the hours or the length, unless both are wanted.',
      href: 'date',
    },
  ];
}

/** From gathering until the slowest are back; a walk that ends as another gathers does not overlap it. */
function overlapping({ facts, around, finish }: Checked): OtherWalk[] {
  return around.others.filter((other) => other.gatherAt < finish.slowest && facts.gatherAt < other.endAt);
}

function named(other: OtherWalk, { words }: Checked): string {
  return `"${other.title}" (${words.length(other.distanceMetres)}, ${words.clock(other.gatherAt)} to ${words.clock(other.endAt)})`;
}
