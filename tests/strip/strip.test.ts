import { describe, expect, test } from 'vitest';
import { routeStrip } from '../../server/strip/strip.js';
import { around, at, columnOf, miles, stopAt, stripWalk } from './walks.js';

const wordsAt = (strip: ReturnType<typeof routeStrip>, y: number) =>
  [...strip.titles, ...strip.times].filter((text) => Math.abs(text.y - 5 - y) < 0.2).map(({ words }) => words);

describe('the route strip', () => {
  test('puts stops, ticks and the finish to scale, each with its words and its times', () => {
    const stops = [
      stopAt(miles(2), { kinds: ['toilets'], name: 'Lower lock' }),
      stopAt(miles(5), { kinds: ['shop', 'water'], name: 'Kiln Lane', minutes: 15 }),
    ];
    const strip = routeStrip(stripWalk({ stops }), around());
    const y = (mile: number) => strip.top + ((strip.bottom - strip.top) * mile) / 8;
    expect(strip.marks.map(({ mark }) => mark)).toEqual(['end', 'toilets', 'water', 'end']);
    expect(strip.marks[1]?.y).toBeCloseTo(y(2), 0);
    expect(strip.marks[2]?.y).toBeCloseTo(y(5), 0);
    expect(wordsAt(strip, strip.top)).toEqual(['Weir car park', '8:45, off 9:00']);
    expect(wordsAt(strip, y(2))).toEqual(['Toilets', '9:30 – 9:48']);
    expect(wordsAt(strip, y(5))).toEqual(['Water, shop', '10:15 – 11:00']);
    expect(columnOf(strip)).toContain('Kiln Lane, 15\u00a0min');
    expect(columnOf(strip)).toContain('11:15 – 12:27');
    expect(strip.labels.map(({ words }) => words)).toEqual(['1 mi', '2 mi', '3 mi', '4 mi', '6 mi', '7 mi']);
    expect(strip.heavyLabels.map(({ words }) => words)).toEqual(['0 mi', '5 mi', '8.0 mi']);
  });

  test('says that a walk comes back to its meeting point only where its route does', () => {
    const titles = (shape: 'loop' | 'out and back' | 'one way' | null) => routeStrip(stripWalk(), around({ shape })).titles.at(-1)?.words;
    expect(titles('loop')).toBe('Weir car park again');
    expect(titles('out and back')).toBe('Weir car park again');
    expect(titles('one way')).toBe('Finish');
    expect(titles(null)).toBe('Finish');
  });

  test('shows stops within 60 m as one, those further apart as two', () => {
    const pair = (metres: number) => [stopAt(3000, { name: 'Pump' }), stopAt(3000 + metres, { kinds: ['toilets'], name: 'Barn' })];
    const one = routeStrip(stripWalk({ stops: pair(60) }), around());
    expect(columnOf(one)).toEqual(expect.arrayContaining(['Toilets, water', 'Pump, Barn']));
    const two = routeStrip(stripWalk({ stops: pair(61) }), around());
    expect(two.dots).toHaveLength(2);
    expect(columnOf(two)).toEqual(expect.arrayContaining(['Water', 'Pump', 'Toilets', 'Barn']));
  });

  test('names what is at the meeting point itself in its row', () => {
    const strip = routeStrip(
      stripWalk({ stops: [stopAt(0, { kinds: ['toilets'], name: 'Lower lock' }), stopAt(miles(8) - 10)] }),
      around(),
    );
    expect(strip.notes.map(({ words }) => words)).toEqual(['by the green ticket machine', 'Toilets: Lower lock', 'Water']);
    expect(strip.marks).toHaveLength(2);
  });

  test('writes kilometres, the 24-hour clock, and an hour that is the same for all', () => {
    const walk = stripWalk({ distanceMetres: 13_200, gatherAt: at('13:00'), setOffAt: at('13:00') });
    const strip = routeStrip(walk, around({}, { units: 'km', clock: 24, fastPace: 20, slowPace: 20 }));
    expect(strip.heavyLabels.map(({ words }) => words)).toEqual(['0 km', '5 km', '10 km', '13.2 km']);
    expect(strip.times.map(({ words }) => words)).toEqual(['off 13:00', '15:45']);
    expect(strip.caption.join(' ')).toContain('Sunset 16:30\u00a0EST.');
  });

  test('carries AM and PM where a walk takes half a day and more', () => {
    const short = routeStrip(stripWalk({ distanceMetres: miles(29) }), around());
    expect(short.times.at(-1)?.words).toBe('4:15 – 8:36');
    const long = routeStrip(stripWalk({ distanceMetres: miles(30), stops: [stopAt(miles(11)), stopAt(miles(15))] }), around());
    expect(long.times.map(({ words }) => words)).toEqual(
      expect.arrayContaining(['8:45 AM, off 9:00 AM', '11:45 AM – 1:24 PM', '12:45 – 3:00 PM', '4:30 – 9:00 PM']),
    );
  });

  test('keeps labels readable from one mile to a hundred', () => {
    for (const length of [1, 2, 4, 8, 12, 22, 50, 99.4]) {
      for (const units of ['mi', 'km'] as const) {
        const strip = routeStrip(stripWalk({ distanceMetres: miles(length) }), around({}, { units }));
        const at = [...strip.labels, ...strip.heavyLabels].map(({ y }) => y).sort((a, b) => a - b);
        const gaps = at.slice(1).map((y, index) => y - (at[index] ?? 0));
        expect(Math.min(...gaps), `${length} ${units}`).toBeGreaterThan(20);
        expect(Math.max(...gaps), `${length} ${units}`).toBeLessThanOrEqual(120);
        expect(strip.height).toBeLessThan(1200);
      }
    }
  });
});

describe('short ways on the strip', () => {
  const short = (leaves: number, rejoins: number, length: number) =>
    stopAt(miles(leaves), { short: { rejoins: miles(rejoins), length: miles(length) } });

  test('leave and rejoin to scale, in lanes of their own where they overlap', () => {
    const strip = routeStrip(stripWalk({ stops: [short(2, 6, 5.5), short(4, 8, 6.1), short(6, 7, 7.7)] }), around());
    const y = (mile: number) => strip.top + ((strip.bottom - strip.top) * mile) / 8;
    const paths = strip.shortWays.split('M').slice(1);
    expect(paths.map((path) => Number(path.split(/[ C]/)[1]))).toEqual([2, 4, 6].map((mile) => expect.closeTo(y(mile), 0)));
    expect(paths.map((path) => Number(path.split(' ').at(-1)))).toEqual([6, 8, 7].map((mile) => expect.closeTo(y(mile), 0)));
    expect(paths.map((path) => /C(\d+)/.exec(path)?.[1])).toEqual(['121', '128', '121']);
    expect(columnOf(strip)).toEqual(
      expect.arrayContaining(['Short way: 5.5 mi in all', 'Short way back: 6.1 mi in all', 'Short way: 7.7 mi in all']),
    );
  });

  test('are named in the middle of the widest gap beside them, not under a stop', () => {
    const strip = routeStrip(stripWalk({ stops: [short(2, 8, 5.5), stopAt(miles(4), { name: 'Pump' })] }), around());
    const y = (words: string) => [...strip.titles, ...strip.notes].find((text) => text.words === words)?.y ?? 0;
    const named = y('Short way back: 5.5 mi in all');
    expect(named - y('Pump')).toBeGreaterThan(70);
    expect(strip.bottom - named).toBeGreaterThan(70);
    expect(strip.leaders).toBe('');
  });
});

describe('light on the strip', () => {
  const level = stripWalk({ stops: [stopAt(miles(5), { minutes: 20 })] });

  /** The slowest: 11:00 at five miles, on at 11:20, back at 12:32. */
  const dashAt = (sunset: number) => {
    const strip = routeStrip(level, around({ sunset, dusk: null }));
    const y = Number(/^M54 ([\d.]+)/.exec(strip.light)?.[1]);
    return ((y - strip.top) / (strip.bottom - strip.top)) * 8;
  };

  test('goes across where the slowest meet it: on the way, at a halt, between stops', () => {
    expect(dashAt(at('10:00'))).toBeCloseTo(2.5, 1);
    expect(dashAt(at('11:10'))).toBeCloseTo(5, 1);
    expect(dashAt(at('11:44'))).toBeCloseTo(6, 1);
  });

  test('is on the strip up to the minute the slowest are back, and not after; the words name it all the same', () => {
    expect(dashAt(at('12:32'))).toBeCloseTo(8, 1);
    const later = routeStrip(level, around({ sunset: at('12:33'), dusk: at('13:00') }));
    expect(later.light).toBe('');
    expect(later.caption.join(' ')).toContain('Sunset 12:33 PM\u00a0EST.');
    expect(later.caption.join(' ')).not.toContain('Dusk');
  });

  test('is left out before they set off, and where the sun does not set', () => {
    expect(routeStrip(level, around({ sunset: at('08:59') })).light).toBe('');
    const never = routeStrip(level, around({ sunset: null, dusk: null }));
    expect(never.light).toBe('');
    expect([...never.caption, ...never.list].join(' ')).not.toMatch(/sunset|dusk/i);
  });

  test('marks sunset and dusk with words and clock', () => {
    const strip = routeStrip(level, around({ sunset: at('11:44'), dusk: at('12:20') }));
    expect(strip.marks.map(({ mark }) => mark)).toEqual(['end', 'water', 'sunset', 'dusk', 'end']);
    expect(columnOf(strip)).toEqual(expect.arrayContaining(['Sunset', '11:44', 'Dusk', '12:20']));
    expect(strip.caption.join(' ')).toContain('Sunset 11:44 AM\u00a0EST finds the slowest at 6.0 mi.');
  });
});

describe('climb beside the strip', () => {
  const profile = (elevations: number[]) => ({ stepMetres: 100, elevations });

  test('is drawn to the left of the line, wider where it is higher', () => {
    const strip = routeStrip(stripWalk({ ascentMetres: 100 }), around({ profile: profile([100, 150, 200, 150, 100]) }));
    expect(strip.climb).toMatch(/^M104 12L96 12Q/);
    expect(strip.climb).toContain('Q59 ');
    expect(strip.caption[0]).toBe('Left of the line: height, 328 ft to 656 ft; climb 328 ft in all.');
  });

  test('is not drawn where it is flat or unknown, and the caption says so', () => {
    const flat = routeStrip(stripWalk({ ascentMetres: 5 }), around({ profile: profile([100, 109, 100]) }));
    expect([flat.climb, flat.caption[0]]).toEqual(['', 'Nearly level: climb 16 ft in all.']);
    expect(routeStrip(stripWalk(), around({ profile: profile([100, 110, 100]) })).climb).not.toBe('');
    const unknown = routeStrip(stripWalk({ ascentMetres: 50 }), around());
    expect([unknown.climb, unknown.caption[0]]).toEqual(['', 'Climb 164 ft in all; where it lies is not known.']);
    expect(routeStrip(stripWalk(), around()).caption[0]).toBe('Climb: not said.');
  });
});
