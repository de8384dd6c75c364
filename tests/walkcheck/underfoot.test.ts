import { describe, expect, it } from 'vitest';
import { check, found, IN_KM, keys, miles } from './around.js';

const FEET = 0.3048;

describe('the surface', () => {
  it('unsaid asks to think', () => {
    expect(keys(check({ surfaces: [] }))).toEqual(['surfaces']);
  });

  it.each(['steps', 'sand', 'unpaved'])('%s needs a word', (surface) => {
    expect(found('surfaceword', { surfaces: ['pavement', surface] })).toMatchObject({ kind: 'think' });
  });

  it.each(['pavement', 'paved path', 'gravel', 'grass'])('%s needs none', (surface) => {
    expect(keys(check({ surfaces: [surface] }))).toEqual([]);
  });

  it.each([
    ['steps', 'directions', 'Go down the stairs.'],
    ['sand', 'description', 'Half a mile of soft sand.'],
    ['unpaved', 'bring', 'Boots: it may be muddy'],
  ] as const)('%s is said in %s: "%s"', (surface, field, text) => {
    expect(found('surfaceword', { surfaces: [surface], [field]: text })).toBeUndefined();
  });

  it('names what is unsaid, and takes "step-free" for no word about steps', () => {
    const item = found('surfaceword', { surfaces: ['sand', 'steps'], directions: 'Not step-free. Sandals are fine.' });
    expect(item?.title).toBe('Sand and steps underfoot, and no word about it in the text');
  });

  it('with steps is not step-free', () => {
    const directions = 'A ramp goes round the steps.';
    expect(keys(check({ surfaces: ['steps'], stepFree: true, directions }))).toEqual(['stepfree']);
    expect(keys(check({ surfaces: ['steps'], directions }))).toEqual([]);
    expect(keys(check({ surfaces: ['pavement'], stepFree: true }))).toEqual([]);
  });
});

describe('climb', () => {
  it('150 ft a mile are fine, 151 ask to think', () => {
    const feet = (count: number) => found('steep', { distanceMetres: miles(4), ascentMetres: Math.round(count * FEET * 10) / 10 });
    expect(feet(600)).toBeUndefined();
    expect(feet(604)).toMatchObject({ kind: 'think', title: '604 ft of climb in 4.0 mi: 151 ft a mile' });
  });

  it('28 m a km are fine, 29 ask to think', () => {
    const metres = (ascentMetres: number) => found('steep', { distanceMetres: 6000, ascentMetres }, { settings: IN_KM });
    expect(metres(168)).toBeUndefined();
    expect(metres(174)?.title).toBe('174 m of climb in 6.0 km: 29 m a km');
  });
});
