import { climbFigure, lengthWords } from '../calc/measure.js';
import type { Laid } from './laid.js';
import { type Place, placeKinds } from './places.js';
import type { ShortWay } from './short-ways.js';
import { finishTitle } from './strip-rows.js';

/** What stands under the strip, and the whole of it in sentences: places in the order walked, then what is no place. */
export function stripWords(laid: Laid): { caption: string[]; list: string[] } {
  const climb = climbSentence(laid);
  const light = lightSentences(laid);
  const left = laid.heights ? `Left of the line: ${climb.charAt(0).toLowerCase()}${climb.slice(1)}` : climb;
  return {
    caption: [left, `Times: fastest – slowest, ${laid.clock.zone}.`, ...light],
    list: [...placeSentences(laid), ...(light.length === 0 ? [] : [light.join(' ')]), climb],
  };
}

function placeSentences(laid: Laid): string[] {
  const { walk, places, shorts, clock, finish } = laid;
  const between = [
    ...places.along.map((place) => ({
      at: place.metres,
      words: `At ${length(place.metres, laid)}: ${placeWords(place)} ${arrives(place, laid)}`,
    })),
    ...shorts.map((way) => ({ at: way.leaves, words: shortWords(way, laid) })),
  ].sort((a, b) => a.at - b.at);
  const landmark = walk.landmark === '' ? '' : `, ${walk.landmark}`;
  return [
    `Start: ${walk.meetingPoint}${landmark}. Gather ${clock.full(walk.gatherAt)}, set off ${clock.full(walk.setOffAt)}.${also(places.start)}`,
    ...between.map(({ words }) => words),
    `Finish, after ${length(walk.distanceMetres, laid)}: ${finishPlace(laid)}${arrives({ window: finish, minutes: 0 }, laid)}${also(places.finish)}`,
  ];
}

function finishPlace({ walk, around }: Laid): string {
  const title = finishTitle(walk.meetingPoint, around.shape);
  return title === 'Finish' ? '' : `${title}. `;
}

function placeWords({ kinds, name }: Place): string {
  return `${placeKinds(kinds)}${name === '' ? '' : `, ${name}`}.`;
}

function also(place: Place | null): string {
  if (!place) return '';
  return ` ${placeWords(place)}${stay(place.minutes)}`;
}

function arrives({ window, minutes }: Pick<Place, 'window' | 'minutes'>, { clock }: Laid): string {
  return `Fastest ${clock.full(window.fastest)}, slowest ${clock.full(window.slowest)}.${stay(minutes)}`;
}

function stay(minutes: number): string {
  if (minutes === 0) return '';
  return ` ${minutes} ${minutes === 1 ? 'minute' : 'minutes'} there.`;
}

function shortWords(way: ShortWay, laid: Laid): string {
  const whole = laid.walk.distanceMetres;
  const back = way.rejoins >= whole ? 'goes to the finish' : `comes back at ${length(way.rejoins, laid)}`;
  return `Short way: leaves at ${length(way.leaves, laid)}, ${back}, ${length(way.length, laid)} in all.`;
}

function climbSentence({ walk, around, heights, settings }: Laid): string {
  const { units, locale } = settings;
  const climb = climbFigure(walk.ascentMetres, units, locale);
  if (heights)
    return `Height, ${climbFigure(heights.low, units, locale)} to ${climbFigure(heights.high, units, locale)}; climb ${climb} in all.`;
  if (around.profile) return `Nearly level: climb ${climb} in all.`;
  return walk.ascentMetres === 0 ? 'Climb: not said.' : `Climb ${climb} in all; where it lies is not known.`;
}

/** When the sun sets, and where that finds the slowest. */
function lightSentences({ around, light, clock, settings }: Laid): string[] {
  const sentence = (word: string, at: number | null, metres: number | null) => {
    if (at === null) return [];
    if (metres === null) return word === 'Sunset' ? [`Sunset ${clock.full(at)}.`] : [];
    return [`${word} ${clock.full(at)} finds the slowest at ${lengthWords(metres, settings.units)}.`];
  };
  return [...sentence('Sunset', around.sunset, light.sunset), ...sentence('Dusk', around.dusk, light.dusk)];
}

function length(metres: number, { settings }: Laid): string {
  return lengthWords(metres, settings.units);
}
