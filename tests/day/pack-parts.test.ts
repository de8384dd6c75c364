import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { ALL_PARTS, BLANK_WAIVERS, choiceQuery, choiceShown, readChoice, SETS } from '../../server/day/pack.js';
import { layCards, layRows } from '../../server/day/pack-cards.js';
import { packPoints } from '../../server/day/pack-points.js';
import { parseForm } from '../../server/web/parse-form.js';
import { walkFacts } from '../support/cast.js';

describe('what is wanted in a pack', () => {
  it('is everything where nothing is said, or a set by its name', () => {
    expect(choiceShown({})).toEqual({ parts: ALL_PARTS, blank: BLANK_WAIVERS.usual });
    expect(choiceShown({ set: 'back' }).parts).toEqual(['headcount', 'way', 'emergency']);
    expect(choiceShown({ set: 'constructor' }).parts).toEqual(ALL_PARTS);
    expect(choiceShown({ set: 'leader', part: 'incident' }).parts).toEqual(['incident']);
    for (const { parts } of Object.values(SETS)) expect(ALL_PARTS).toEqual(expect.arrayContaining([...parts]));
  });

  it('takes at most forty blank waivers, and the usual number for what is none', () => {
    expect(['0', '40', '41', '9999', '-1', 'ten', ''].map((blank) => readChoice({ blank }).blank)).toEqual([0, 40, 40, 40, 4, 4, 4]);
  });

  it('comes back from its address as it was', () => {
    const choices = fc.record({ parts: fc.subarray(ALL_PARTS, { minLength: 1 }), blank: fc.nat(40) });
    fc.assert(
      fc.property(choices, (choice) => {
        const back = choiceShown(parseForm(choiceQuery(choice)));
        expect(back).toEqual(choice.parts.includes('waivers') ? choice : { ...choice, blank: BLANK_WAIVERS.usual });
      }),
      { numRuns: 60 },
    );
  });
});

describe('the points of a walk', () => {
  const stop = (metres: number, name: string) => ({
    kinds: ['toilets' as const],
    name,
    metres,
    effortMetres: null,
    minutes: 5,
    short: null,
  });
  // Two miles due east along the equator and back north by one: 0.01 degree is 1,113 m or so.
  const line: [number, number, number][][] = [
    [
      [0, 10, 0],
      [0, 10.02, 2000],
      [0.01, 10.02, 3000],
    ],
  ];
  const walk = walkFacts({ distanceMetres: Math.round(3 * METRES_PER_MILE), lat: 1, lon: 2, stops: [stop(2414, 'Lower lock')] });

  it('are start, each mile, each stop and finish, with the stops before and after', () => {
    expect(packPoints(walk, line, 'mi')).toEqual([
      { at: 'start', name: 'Start: Weir car park', point: '0.00000, 10.00000', before: null, after: 'Lower lock, 1.5 mi on' },
      { at: 'mile 1', name: '', point: '0.00000, 10.01000', before: 'Start, 1.0 mi back', after: 'Lower lock, 0.5 mi on' },
      { at: 'mile 1.5', name: 'Lower lock, toilets', point: '0.00000, 10.01500', before: 'Start, 1.5 mi back', after: 'Finish, 1.5 mi on' },
      {
        at: 'mile 2',
        name: '',
        point: expect.stringMatching(/^0\.0000\d, 10\.0200\d$|^0\.00000, 10\.0\d{4}$/) as string,
        before: 'Lower lock, 0.5 mi back',
        after: 'Finish, 1.0 mi on',
      },
      { at: 'finish, mile 3', name: 'Finish', point: '0.01000, 10.02000', before: 'Lower lock, 1.5 mi back', after: null },
    ]);
  });

  it('of a walk without a route have only the place to meet', () => {
    const points = packPoints(walk, null, 'km');
    expect(points.map((one) => one.at)).toEqual(['start', 'km 1', 'km 2', 'km 2.4', 'km 3', 'km 4', 'finish, km 4.8']);
    expect(points.map((one) => one.point)).toEqual(['1.00000, 2.00000', null, null, null, null, null, null]);
  });

  it('name what is at the start and the finish with them, and take a mile that is a stop once', () => {
    const at = [stop(0, ''), stop(1600, 'Ford'), stop(walk.distanceMetres, 'Barn')];
    const points = packPoints({ ...walk, stops: at }, line, 'mi');
    expect(points.map((one) => one.name)).toEqual(['Start: Weir car park; Toilets', 'Ford, toilets', '', 'Finish; Barn, toilets']);
    expect(points.at(-1)?.before).toMatch(/^Ford, 2\.0 mi back$/);
  });

  it('cross the date line, and lie on the globe whatever the route', () => {
    const over: [number, number, number][][] = [
      [
        [0, 179.999, 0],
        [0, -179.999, 200],
      ],
    ];
    const short = walkFacts({ distanceMetres: 200, stops: [stop(150, 'Buoy')] });
    expect(packPoints(short, over, 'km').map((one) => one.point)).toEqual([
      '0.00000, 179.99900',
      '0.00000, -179.99950',
      '0.00000, -179.99900',
    ]);
  });
});

describe('cards', () => {
  const block = fc.record({ lead: fc.string({ maxLength: 30 }), text: fc.string({ unit: 'grapheme', maxLength: 3000 }) });

  it('carry every word of what is to be said, in its order', () => {
    const letters = (text: string) => text.replace(/\s+/g, '');
    fc.assert(
      fc.property(fc.array(block, { maxLength: 8 }), (blocks) => {
        const said = layCards(blocks).flat();
        expect(letters(said.map(({ lead, text }) => lead + text).join(''))).toBe(
          letters(blocks.map(({ lead, text }) => lead + text).join('')),
        );
      }),
      { numRuns: 60 },
    );
  });

  it('are begun when the last is full, not before', () => {
    const lines = (count: number) => Array.from({ length: count }, () => ({ lead: '', text: 'Stay together.' }));
    expect(layCards(lines(11)).map((card) => card.length)).toEqual([11]);
    expect(layCards(lines(12)).map((card) => card.length)).toEqual([11, 1]);
    expect(layCards([])).toEqual([]);
    expect(layRows(lines(11).map((_, index) => ({ name: String(index) }))).map((card) => card.length)).toEqual([5, 5, 1]);
  });
});
