import { fromMetres, lengthWords, type Units } from '../calc/measure.js';
import type { Stop, StopKind } from './stops.js';

/** "Toilets, water"; what it is otherwise, where it offers none of these. */
export function kindWords(kinds: StopKind[], otherwise: string): string {
  const words = kinds.length > 0 ? kinds.join(', ') : otherwise;
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** "Toilets, Lower lock, at mile 2.4, 10 min" */
export function stopWords(stop: Stop, units: Units): string {
  const at = fromMetres(stop.metres, units).toFixed(1);
  const short = stop.short ? `short way from here, ${lengthWords(stop.short.length, units)} in all` : '';
  const parts = [
    kindWords(stop.kinds, 'short way'),
    stop.name,
    units === 'mi' ? `at mile ${at}` : `at km ${at}`,
    stop.minutes > 0 ? `${stop.minutes} min` : '',
    short,
  ];
  return parts.filter((part) => part !== '').join(', ');
}
