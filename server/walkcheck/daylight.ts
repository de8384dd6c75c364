import type { Sun } from '../calc/sun.js';
import { lightOn, placeOf } from '../walks/light.js';
import type { Checked, Found } from './items.js';
import { minutesBetween, wholeMinute } from './words.js';

/** Gathering before civil dawn, and the slowest back after sunset or civil dusk, at the walk's own place on its own day. */
export function daylight(walk: Checked): Found[] {
  const { facts, around } = walk;
  const day = lightOn(placeOf(facts, around.route, around.area), facts.date, facts.zone, facts.setOffAt);
  if (day.allDay) return [];
  if (day.rise === null && day.set === null && day.dawn === null && day.dusk === null) return [darkAllDay(around.area.name)];
  return [...beforeDawn(walk, day), ...afterSunset(walk, day)];
}

/** The minute of dawn itself is light enough. */
function beforeDawn({ facts, words }: Checked, { dawn }: Sun): Found[] {
  if (dawn === null || wholeMinute(facts.gatherAt) >= wholeMinute(dawn)) return [];
  return [
    {
      key: 'dawn',
      kind: 'mend',
      explain: true,
      title: `People gather at ${words.clock(facts.gatherAt)}, in the dark: civil dawn is at ${words.clock(dawn)}`,
      why: 'In the dark people miss the place, trip, and are not seen by drivers.',
      mends: `Gather ${minutesBetween(facts.gatherAt, dawn)} later, or say why you meet in the dark, and what everyone needs for it.`,
      href: 'gather',
    },
  ];
}

/** The minute of sunset, or of dusk, is still on the light side of it. */
function afterSunset({ finish, words }: Checked, { rise, set, dusk }: Sun): Found[] {
  const back = finish.slowest;
  const after = (at: number | null): at is number => at !== null && wholeMinute(back) > wholeMinute(at);
  if (after(dusk)) return [afterDusk(words.clock(back), words.clock(dusk), minutesBetween(dusk, back))];
  const mends = 'Set off earlier, shorten the walk, or ask everyone to bring a light.';
  if (after(set))
    return [
      {
        key: 'sunset',
        kind: 'think',
        title: `The slowest are back at ${words.clock(back)}, ${minutesBetween(set, back)} after sunset at ${words.clock(set)}`,
        why:
          dusk === null
            ? 'It does not get quite dark that night, but the way is harder to see.'
            : `It is dark at ${words.clock(dusk)}: a small delay takes the group into the night.`,
        mends,
        href: 'setOff',
      },
    ];
  if (rise === null && set === null && dusk !== null)
    return [
      {
        key: 'sunset',
        kind: 'think',
        title: `The sun does not rise that day: there is twilight until ${words.clock(dusk)}`,
        why: 'The way is harder to see, and a small delay takes the group into the night.',
        mends,
        href: 'setOff',
      },
    ];
  return [];
}

function afterDusk(back: string, dusk: string, late: string): Found {
  return {
    key: 'dusk',
    kind: 'mend',
    explain: true,
    title: `The slowest are back at ${back}, in the dark: civil dusk is at ${dusk}`,
    why: 'In the dark people trip, lose the way, and are not seen by drivers.',
    mends: `Set off ${late} earlier, shorten the walk, or say why you walk in the dark, and what everyone needs for it.`,
    href: 'setOff',
  };
}

function darkAllDay(area: string): Found {
  return {
    key: 'dusk',
    kind: 'mend',
    explain: true,
    title: `It is dark all day in ${area} on that date`,
    why: 'In the dark people trip, lose the way, and are not seen by drivers.',
    mends: 'Choose another date, or say why you walk in the dark, and what everyone needs for it.',
    href: 'date',
  };
}
