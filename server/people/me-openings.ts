import type { ContactOpening } from '../contacts/openings.js';
import type { When } from '../web/when.js';

/** Openings of a day by one person for one reason, as the page shows them in one line. */
interface OpeningRow {
  /** "Ana, Ben" */
  whose: string;
  by: string;
  why: string;
  /** The latest of them. */
  at: When;
  /** "3 times"; null for once. */
  times: string | null;
}

/**
 * Who opened someone's emergency contacts, the newest first: whoever prints the sheet again, or reads it once more, has one line a day.
 * Pure. @param openings the newest first @param names whose they are, by member
 */
export function openingRows(openings: ContactOpening[], names: ReadonlyMap<number, string>, at: (ms: number) => When): OpeningRow[] {
  const groups = new Map<string, ContactOpening[]>();
  for (const one of openings) {
    const key = JSON.stringify([one.by, one.why, at(one.at).fullDate]);
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  return [...groups.values()].flatMap((group) => {
    const [latest] = group;
    if (!latest) return [];
    // One opening of several people's is as many rows.
    const most = Math.max(...countBy(group.map((one) => one.memberId)).values());
    const whose = [...new Set(group.map((one) => names.get(one.memberId) ?? ''))].sort((a, b) => a.localeCompare(b)).join(', ');
    return { whose, by: latest.by, why: latest.why, at: at(latest.at), times: most > 1 ? `${most} times` : null };
  });
}

function countBy(ids: number[]): Map<number, number> {
  const counts = new Map<number, number>();
  for (const id of ids) counts.set(id, (counts.get(id) ?? 0) + 1);
  return counts;
}
