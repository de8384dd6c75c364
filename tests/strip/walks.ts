import { join } from 'node:path';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { ROOT } from '../../server/config.js';
import { type GroupSettings, groupSettings } from '../../server/settings/rules.js';
import type { StripAround, StripWalk } from '../../server/strip/laid.js';
import type { StripModel } from '../../server/strip/strip.js';
import type { Stop } from '../../server/walks/stops.js';
import { Views } from '../../server/web/render.js';
import { walkFacts } from '../support/cast.js';

export const miles = (count: number) => count * METRES_PER_MILE;

/** Sat, Dec 5, 2026 in New York, as the cast's walk. */
export const at = (time: string) => Date.parse(`2026-12-05T${time}:00-05:00`);

export function stopAt(metres: number, changed: Partial<Stop> = {}): Stop {
  return { metres, kinds: ['water'], name: '', minutes: 0, effortMetres: null, short: null, ...changed };
}

/** The cast's walk, eight miles and level unless it is said otherwise: the group's 15 and 24 minutes a mile come out even. */
export function stripWalk(changed: Partial<StripWalk> = {}): StripWalk {
  return { ...walkFacts({ distanceMetres: miles(8), ascentMetres: 0 }), ...changed };
}

export function around(changed: Partial<StripAround> = {}, settings: Partial<GroupSettings> = {}): StripAround {
  return { profile: null, shape: 'loop', sunset: at('16:30'), dusk: at('17:00'), settings: groupSettings.parse(settings), ...changed };
}

export const views = new Views(join(ROOT, 'views'));

/** The drawing alone, as it is sent. */
export function svgOf(html: string): string {
  return /<svg[\s\S]*<\/svg>/.exec(html)?.[0] ?? '';
}

/** All that is written right of the line. */
export function columnOf(strip: StripModel): string[] {
  return [...strip.titles, ...strip.times, ...strip.notes].map(({ words }) => words);
}
