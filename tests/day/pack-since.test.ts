import { describe, expect, it } from 'vitest';
import { listSince, type Made, type Now, sinceMade, stillHeld, walkSince } from '../../server/day/pack-since.js';
import { walkFacts } from '../support/cast.js';

const AT = 1_000_000;
const made: Made = { at: AT, version: 3, parts: ['sheet', 'list', 'way'], contacts: true, list: { m1: 0, m2: 1, m3: 0 }, digest: 'a' };
const now = (changed: Partial<Now> = {}): Now => ({
  facts: walkFacts(),
  factsAt: () => walkFacts(),
  list: made.list,
  digest: 'a',
  leadersAt: null,
  forecastAt: null,
  contactsAt: [],
  ...changed,
});

describe('what was printed and is still held', () => {
  it('is each part as it was printed last', () => {
    const packs = [{ parts: ['headcount', 'way'] as const }, { parts: ['sheet', 'way'] as const }, { parts: ['way', 'sheet'] as const }];
    expect(stillHeld(packs.map(({ parts }) => ({ parts: [...parts] }))).map((one) => one.parts)).toEqual([['headcount', 'way'], ['sheet']]);
  });
});

describe('what changed since', () => {
  it('of the walk is what is on paper, in one sentence', () => {
    const moved = walkFacts({ meetingPoint: 'Mill', lat: 41.4, lon: -85.2, capacity: 99, description: 'New words', theme: 'Hats' });
    expect(walkSince(walkFacts(), moved)).toEqual(['the meeting point and the map point changed']);
    expect(walkSince(walkFacts(), walkFacts({ setOff: '09:30' }))).toEqual(['when you set off changed']);
    expect(walkSince(walkFacts(), walkFacts({ capacity: 13, bring: 'A hat' }))).toEqual([]);
  });

  it('of the list is who joined, withdrew and signed', () => {
    expect(listSince(made, { list: { m2: 1, m3: 1, m4: 0, m5: 1 }, digest: 'b' })).toEqual([
      '2 joined',
      '1 withdrew',
      '1 signed the waiver',
    ]);
    expect(listSince(made, { list: { m1: 0, m2: 0, m3: 0 }, digest: 'a' })).toEqual(['1 must sign the waiver anew']);
    expect(listSince(made, { list: made.list, digest: 'b' })).toEqual(["somebody's name, phone or guardian was put right"]);
    expect(listSince(made, { list: made.list, digest: 'a' })).toEqual([]);
  });

  it('counts only for the parts that show it', () => {
    const joined = now({ list: { ...made.list, m9: 0 }, digest: 'b', factsAt: () => walkFacts({ meetingPoint: 'Mill' }) });
    expect(sinceMade(made, ['sheet'], joined)).toEqual(['the meeting point changed', '1 joined']);
    expect(sinceMade(made, ['way'], joined)).toEqual(['the meeting point changed']);
    expect(sinceMade(made, ['waivers'], joined)).toEqual(['1 joined']);
    expect(sinceMade(made, ['incident'], joined)).toEqual([]);
  });

  it.each([
    [AT, []],
    [AT + 1, ['who leads it changed', 'a forecast was typed in', '1 emergency contact was given anew']],
  ])('is what came after it, not at the same instant: %i', (at, words) => {
    expect(sinceMade(made, made.parts, now({ leadersAt: at, forecastAt: at, contactsAt: [at] }))).toEqual(words);
  });

  it('of contacts is said only of paper that carries them', () => {
    const anew = now({ contactsAt: [AT + 1, AT + 2] });
    expect(sinceMade(made, ['list'], anew)).toEqual(['2 emergency contacts were given anew']);
    expect(sinceMade(made, ['sheet'], anew)).toEqual([]);
    expect(sinceMade({ ...made, contacts: false }, ['list'], anew)).toEqual([]);
  });
});
