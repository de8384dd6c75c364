import { fromMetres, type Units } from '../calc/measure.js';
import type { Turn } from '../calc/turns.js';

const COMPASS = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'] as const;
const SHARP_DEGREES = 110;
const BACK_DEGREES = 160;

/** The eighth of the compass that a bearing lies in. @param bearing degrees from north */
export function compass(bearing: number): string {
  return COMPASS[Math.round((((bearing % 360) + 360) % 360) / 45) % 8] ?? 'north';
}

/** A first draft of the directions, one a line: "1.2 mi: left, heading north-west". The leader adds what one sees there. */
export function turnWords(turns: Turn[], units: Units): string {
  return turns
    .map((turn) => `${fromMetres(turn.metres, units).toFixed(1)} ${units}: ${way(turn)}, heading ${compass(turn.bearing)}`)
    .join('\n');
}

function way({ metres, angle }: Turn): string {
  if (metres === 0) return 'set off';
  const size = Math.abs(angle);
  if (size > BACK_DEGREES) return 'turn back';
  return `${size > SHARP_DEGREES ? 'sharp ' : ''}${angle > 0 ? 'right' : 'left'}`;
}
