import { fromMetres, lengthFigure, type Units } from '../calc/measure.js';
import type { Stop } from './stops.js';

/** "Toilets, water", or "Short way" where a stop is nothing else. */
export function kindWords(stop: Pick<Stop, 'kinds' | 'short'>): string {
  const words = stop.kinds.length > 0 ? stop.kinds.join(', ') : 'short way';
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** "Toilets, Lower lock, at mile 2.4, 10 min" */
export function stopWords(stop: Stop, units: Units): string {
  const at = fromMetres(stop.metres, units).toFixed(1);
  const short = stop.short ? `short way from here, ${lengthFigure(stop.short.length, units)} ${units} in all` : '';
  const parts = [
    kindWords(stop),
    stop.name,
    units === 'mi' ? `at mile ${at}` : `at km ${at}`,
    stop.minutes > 0 ? `${stop.minutes} min` : '',
    short,
  ];
  return parts.filter((part) => part !== '').join(', ');
}
