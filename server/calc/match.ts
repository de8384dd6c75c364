import { cheapest } from './cheapest.js';
import { byId, type Id } from './ids.js';

/** A walk that an area ought to have: metres of the plan's band around its best length. */
export interface Need {
  id: Id;
  week: Id;
  dayKind: string;
  leastMetres: number;
  bestMetres: number;
  mostMetres: number;
}

export interface PostedWalk {
  id: Id;
  week: Id;
  dayKind: string;
  metres: number;
}

export interface Matching<N extends Need, W extends PostedWalk> {
  met: { need: N; walk: W }[];
  unmet: N[];
  /** Walks that meet no need, or none that another does not meet better. */
  spare: W[];
}

/**
 * The posted walks of one area matched to its needs: a walk of the same week and kind of day, its length within the band. A walk meets one need at
 * most. As few needs as can be are unmet; then the lengths are, summed, as near to the best as can be (to the metre); of several such
 * matchings the need with the first id gets the walk with the first id, and so on. So the answer depends on the ids, and not on the order they come in.
 */
export function matchNeeds<N extends Need, W extends PostedWalk>(needs: readonly N[], walks: readonly W[]): Matching<N, W> {
  const walksOf = byDay(walks);
  const whole: Matching<N, W> = { met: [], unmet: [], spare: [] };
  for (const [day, asked] of byDay(needs)) {
    for (const { need, walk } of matchDay(asked, walksOf.get(day) ?? [])) {
      if (walk) whole.met.push({ need, walk });
      else whole.unmet.push(need);
    }
  }
  const used = new Set(whole.met.map(({ walk }) => walk));
  whole.spare = walks.filter((walk) => !used.has(walk));
  whole.met.sort((a, b) => byId(a.need, b.need));
  whole.unmet.sort(byId);
  whole.spare.sort(byId);
  return whole;
}

function byDay<T extends { week: Id; dayKind: string }>(all: readonly T[]): Map<string, T[]> {
  const days = new Map<string, T[]>();
  for (const one of all) {
    const day = `${one.week} ${one.dayKind}`;
    const others = days.get(day);
    if (others) others.push(one);
    else days.set(day, [one]);
  }
  return days;
}

/** The columns are the walks, and after them, for each need, to stay unmet: dearer than all lengths together, so that it never pays. */
function matchDay<N extends Need, W extends PostedWalk>(needs: N[], walks: W[]): { need: N; walk: W | undefined }[] {
  const asked = needs.toSorted(byId);
  const posted = walks.filter((walk) => asked.some((need) => isWithin(walk, need))).sort(byId);
  const lengths = asked.map((need) =>
    posted.map((walk) => (isWithin(walk, need) ? Math.round(Math.abs(walk.metres - need.bestMetres)) : Number.POSITIVE_INFINITY)),
  );
  const unmet = lengths.reduce((sum, row) => sum + Math.max(0, ...row.filter(Number.isFinite)), 1);
  const columns = cheapest(lengths.map((row) => [...row, ...asked.map(() => unmet)]));
  return asked.map((need, index) => ({ need, walk: posted[columns?.[index] ?? posted.length] }));
}

function isWithin(walk: PostedWalk, need: Need): boolean {
  return walk.metres >= need.leastMetres && walk.metres <= need.mostMetres;
}
