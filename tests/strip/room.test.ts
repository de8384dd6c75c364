import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { SIZE } from '../../server/strip/row.js';
import { routeStrip, type StripModel } from '../../server/strip/strip.js';
import { width, wrap } from '../../server/strip/text.js';
import { STOP_KINDS } from '../../server/walks/stops.js';
import { around, at, miles, stopAt, stripWalk } from './walks.js';

const name = fc.oneof(
  fc.string({ maxLength: 80 }),
  fc.string({ maxLength: 80, unit: 'grapheme' }),
  fc.constant('W'.repeat(80)),
  fc.lorem({ maxCount: 12 }),
);

const walk = fc
  .record({
    length: fc.double({ min: 0.3, max: 99, noNaN: true }),
    meetingPoint: name,
    landmark: name,
    stops: fc.array(
      fc.record({
        part: fc.double({ min: 0, max: 1, noNaN: true }),
        kinds: fc.subarray([...STOP_KINDS]),
        name,
        minutes: fc.integer({ min: 0, max: 60 }),
        short: fc.option(fc.double({ min: 0, max: 1, noNaN: true })),
      }),
      { maxLength: 15 },
    ),
  })
  .map(({ length, meetingPoint, landmark, stops }) => ({
    meetingPoint,
    landmark,
    distanceMetres: miles(length),
    stops: stops
      .sort((a, b) => a.part - b.part)
      .map(({ part, short, ...stop }) => {
        const rejoins = short === null ? null : Math.max(part, short) * miles(length);
        return stopAt(part * miles(length), { ...stop, short: rejoins === null ? null : { rejoins, length: miles(length / 2) } });
      }),
  }));

interface Box {
  words: string;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

/** Where each text is drawn: from the height of a capital above its baseline to a tail below it. */
function boxes(strip: StripModel): Box[] {
  const box = (left: number, size: number, y: number, words: string, wide: number): Box => ({
    words,
    left,
    right: left + wide,
    top: y - size * 0.75,
    bottom: y + size * 0.2,
  });
  const bold = (words: string) => width(words, 'bold', SIZE.title);
  return [
    ...strip.titles.map(({ x, y, words }) => box(143 + x, SIZE.title, y, words, bold(words))),
    ...strip.times.map(({ y, words }) => box(368 - bold(words), SIZE.title, y, words, bold(words))),
    ...strip.notes.map(({ x, y, words }) => box(143 + x, SIZE.note, y, words, width(words, 'plain', SIZE.note))),
    ...[...strip.labels, ...strip.heavyLabels].map(({ y, words }) => box(0, SIZE.note, y, words, width(words, 'bold', SIZE.note))),
  ];
}

const touch = (a: Box, b: Box) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

describe('words on the strip', () => {
  test('never lie on one another and never leave the drawing', () => {
    fc.assert(
      fc.property(walk, fc.constantFrom('mi' as const, 'km' as const), (changed, units) => {
        const strip = routeStrip(stripWalk(changed), around({ sunset: at('10:30'), dusk: at('10:50') }, { units }));
        const all = boxes(strip);
        for (const [index, one] of all.entries()) {
          expect(one.left, one.words).toBeGreaterThanOrEqual(0);
          expect(one.right, one.words).toBeLessThanOrEqual(368.1);
          expect(one.bottom, one.words).toBeLessThanOrEqual(strip.height);
          for (const other of all.slice(index + 1)) expect(touch(one, other), `${one.words} / ${other.words}`).toBe(false);
        }
      }),
      { numRuns: 200 },
    );
  });

  test('stand at their places where there is room', () => {
    const stops = [1, 3, 5, 7].map((mile) => stopAt(miles(mile), { name: 'Pump' }));
    expect(routeStrip(stripWalk({ stops }), around()).leaders).toBe('');
  });

  test('are led to their places where there is none', () => {
    const stops = [3, 3.1, 3.2].map((mile) => stopAt(miles(mile), { name: 'Pump' }));
    const strip = routeStrip(stripWalk({ stops }), around());
    const y = (mile: number) => strip.top + ((strip.bottom - strip.top) * mile) / 8;
    expect(strip.dots).toEqual([3, 3.1, 3.2].map((mile) => expect.closeTo(y(mile), 0)));
    expect(strip.leaders.split('M')).toHaveLength(4);
  });

  test('break between words, then inside one, and end in an ellipsis', () => {
    expect(wrap('by the green ticket machine', 'plain', 14.5, 120, 3)).toEqual(['by the green', 'ticket machine']);
    const broken = wrap('W'.repeat(80), 'bold', 15.5, 225, 3);
    expect(broken).toHaveLength(3);
    expect(broken[2]).toMatch(/^W+…$/);
    expect(broken.every((line) => width(line, 'bold', 15.5) <= 225)).toBe(true);
    expect(wrap('', 'plain', 14.5, 120, 3)).toEqual([]);
  });
});
