import type { AssignInput, AssignLeader, Gap } from '../../server/calc/assign.js';
import { addDays, addMonths } from '../../server/calc/month.js';

/** 0 to under 1, the same ones for the same seed (mulberry32). */
export function chances(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

export interface Size {
  areas: number;
  leaders: number;
  gaps: number;
  weeks: number;
  /** Other areas that a leader goes to, at most. */
  goesTo: number;
}

/** A Monday. */
const FIRST_DAY = '2027-01-04';
const MILE = 1609;

/** An invented group with gaps to fill, the same for the same seed. */
export function inventedInput(size: Size, seed: number): AssignInput {
  const chance = chances(seed);
  const upTo = (most: number) => Math.floor(chance() * most);
  const areas = Array.from({ length: size.areas }, (_, id) => ({ id, lat: 37 + chance(), lon: -86 + chance() }));
  const area = () => areas[upTo(size.areas)] ?? { id: 0, lat: 37, lon: -86 };
  const leaders = Array.from({ length: size.leaders }, (_, index): AssignLeader => {
    const home = area();
    const pledge = 1 + upTo(3);
    const shortest = 2 + upTo(4);
    return {
      id: index + 1,
      homeAreaId: home.id,
      areaIds: Array.from({ length: upTo(size.goesTo + 1) }, () => area().id),
      lat: home.lat,
      lon: home.lon,
      days: [1, 2, 3, 4, 5, 6, 7].filter((day) => chance() < (day > 5 ? 0.8 : 0.3)),
      shortestMetres: chance() < 0.2 ? null : shortest * MILE,
      longestMetres: chance() < 0.2 ? null : (shortest + 4 + upTo(12)) * MILE,
      months: Object.fromEntries(
        Array.from({ length: 4 }, (_, month) => [addMonths('2027-01', month), { pledged: pledge, left: pledge - upTo(3) }]),
      ),
      ledThisSeason: upTo(12),
      pledgedThisSeason: pledge * 4,
      busyDates: Array.from({ length: upTo(4) }, () => addDays(FIRST_DAY, upTo(size.weeks * 7))),
    };
  });
  const gaps = Array.from({ length: size.gaps }, (_, id): Gap => {
    const { id: areaId, lat, lon } = area();
    const monday = addDays(FIRST_DAY, 7 * upTo(size.weeks));
    const days = [[0, 1, 2, 3, 4], [5], [6]][upTo(3)] ?? [5];
    return { id, areaId, lat, lon, dates: days.map((day) => addDays(monday, day)), metres: (3 + upTo(12)) * MILE, weight: 1 + upTo(9) };
  });
  return { leaders, gaps, rules: { overPledge: 1, oneAWeekend: true, farthestMetres: null } };
}
