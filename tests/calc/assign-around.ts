import type { AssignInput, AssignLeader, AssignRules, Gap } from '../../server/calc/assign.js';

/** Saturday and Sunday, in the middle of a month. */
export const SATURDAY = '2027-03-13';
export const SUNDAY = '2027-03-14';
export const NEXT_SATURDAY = '2027-03-20';
/** Metres of a degree of latitude, near enough, at the equator. */
export const DEGREE_METRES = 110_574;

export const RULES: AssignRules = { overPledge: 1, oneAWeekend: true, farthestMetres: null };

/** A leader of area 1 who can do any day and any length, and has two walks of two left in March. */
export function leader(id: number, more: Partial<AssignLeader> = {}): AssignLeader {
  return {
    id,
    homeAreaId: 1,
    areaIds: [],
    lat: 0,
    lon: 0,
    days: [1, 2, 3, 4, 5, 6, 7],
    shortestMetres: null,
    longestMetres: null,
    months: { '2027-03': { pledged: 2, left: 2 } },
    ledThisSeason: 4,
    pledgedThisSeason: 4,
    busyDates: [],
    ...more,
  };
}

export function march(left: number): AssignLeader['months'] {
  return { '2027-03': { pledged: 2, left } };
}

/** A walk of 10 km in area 1 on the Saturday. */
export function gap(id: number | string, more: Partial<Gap> = {}): Gap {
  return { id, areaId: 1, lat: 0, lon: 0, dates: [SATURDAY], metres: 10_000, weight: 1, ...more };
}

export function input(leaders: AssignLeader[], gaps: Gap[], rules: Partial<AssignRules> = {}): AssignInput {
  return { leaders, gaps, rules: { ...RULES, ...rules } };
}
