import { several, type Typed } from '../web/forms.js';

/** The parts of a day pack, in the order printed, with what each is for. */
export const PARTS = {
  sheet: { title: 'Sign-in sheet', use: 'To sign, passed round. No phone and no contact is on it.', hasPeople: true, hasWalk: true },
  list: { title: "Leader's list", use: 'Phones, emergency contacts, columns to tick. Not passed round.', hasPeople: true, hasWalk: true },
  briefing: { title: 'Briefing', use: 'On cards of 3 × 5 inches, to cut out.', hasPeople: false, hasWalk: true },
  headcount: { title: "Back marker's headcount", use: 'On cards of 3 × 5 inches, to cut out.', hasPeople: false, hasWalk: true },
  way: { title: 'The way', use: 'Directions, route to scale, map, daylight, weather.', hasPeople: false, hasWalk: true },
  emergency: { title: 'In an emergency', use: 'Whom to call, what to say, where you are.', hasPeople: false, hasWalk: true },
  incident: { title: 'Incident form', use: 'To fill in afterwards, for the coordinator.', hasPeople: false, hasWalk: false },
  waivers: { title: 'Waivers to sign on paper', use: 'One for each who has yet to sign, and blank ones.', hasPeople: true, hasWalk: false },
} as const;

export type Part = keyof typeof PARTS;

export const ALL_PARTS = Object.keys(PARTS) as Part[];

/** What to take, by whom it is for. */
export const SETS = {
  everything: { title: 'Everything', parts: ALL_PARTS },
  leader: { title: "Leader's", parts: ['sheet', 'list', 'briefing', 'way', 'emergency', 'incident'] },
  back: { title: "Back marker's", parts: ['headcount', 'way', 'emergency'] },
} as const satisfies Record<string, { title: string; parts: readonly Part[] }>;

/** Blank waivers that go with the pack: usual, and most. */
export const BLANK_WAIVERS = { usual: 4, most: 40 } as const;

/** What someone wants in a pack. */
export interface Choice {
  parts: Part[];
  blank: number;
}

/** The parts that were ticked, in the order printed, and how many blank waivers. Pure. */
export function readChoice(typed: Typed): Choice {
  const ticked = several(typed, 'part');
  return { parts: ALL_PARTS.filter((part) => ticked.includes(part)), blank: blankOf(typed) };
}

/** The same of an address, where a set can be named and nothing means everything. Pure. */
export function choiceShown(query: Typed): Choice {
  const { parts, blank } = readChoice(query);
  if (parts.length > 0) return { parts, blank };
  const [set] = several(query, 'set');
  const named = set !== undefined && Object.hasOwn(SETS, set) ? SETS[set as keyof typeof SETS] : SETS.everything;
  return { parts: [...named.parts], blank };
}

/** The address's query that shows a choice again. Pure. */
export function choiceQuery({ parts, blank }: Choice): string {
  const query = new URLSearchParams(parts.map((part): [string, string] => ['part', part]));
  if (parts.includes('waivers')) query.set('blank', String(blank));
  return query.toString();
}

function blankOf(typed: Typed): number {
  const [blank = ''] = several(typed, 'blank');
  return /^\d{1,4}$/.test(blank) ? Math.min(Number(blank), BLANK_WAIVERS.most) : BLANK_WAIVERS.usual;
}
