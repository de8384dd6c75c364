import { describe, expect, it } from 'vitest';
import { changedFacts, mayTell, mergeEdits, movedWords, mustTell, raisesSequence } from '../../server/walks/edit.js';
import { walkFacts } from '../support/cast.js';

const BASE = walkFacts();

describe('an edit', () => {
  it.each([
    ['date', { date: '2026-12-06' }],
    ['gather', { gather: '09:00' }],
    ['setOff', { setOff: '09:30' }],
    ['zone', { zone: 'America/Chicago' }],
    ['meetingPoint', { meetingPoint: 'North gate' }],
    ['landmark', { landmark: 'by the bench' }],
    ['lat', { lat: 41.31 }],
  ])('of %s must be told', (_, change) => {
    expect(mustTell(changedFacts(BASE, { ...BASE, ...change }))).toBe(true);
  });

  it.each([
    ['bring', { bring: 'Hat' }],
    ['surfaces', { surfaces: ['sand'] }],
    ['distanceMetres', { distanceMetres: 20_000 }],
  ])('of %s may be told', (_, change) => {
    const changed = changedFacts(BASE, { ...BASE, ...change });
    expect([mustTell(changed), mayTell(changed)]).toEqual([false, true]);
  });

  it('raises SEQUENCE for start, end and place, not for what to bring', () => {
    expect(raisesSequence(changedFacts(BASE, { ...BASE, meetingPoint: 'North gate' }))).toBe(true);
    expect(raisesSequence(changedFacts(BASE, { ...BASE, distanceMetres: 20_000 }))).toBe(true);
    expect(raisesSequence(changedFacts(BASE, { ...BASE, bring: 'Hat' }))).toBe(false);
  });

  it('says on the timetable what moved', () => {
    expect(movedWords(BASE, { ...BASE, meetingPoint: 'North gate' }, '')).toBe('Moved: now North gate');
    expect(movedWords(BASE, walkFacts({ gather: '08:30' }), '')).toBe('New time');
    expect(movedWords(BASE, { ...BASE, bring: 'Hat' }, 'New date')).toBe('New date');
  });
});

describe('two edits at once', () => {
  it('keep both where they touch different facts', () => {
    const { merged, both } = mergeEdits(BASE, { ...BASE, meetingPoint: 'North gate' }, { ...BASE, bring: 'Hat' });
    expect(merged).toMatchObject({ meetingPoint: 'North gate', bring: 'Hat' });
    expect(both).toEqual([]);
  });

  it('name the fact both changed, and keep the later one in the form', () => {
    const { merged, both } = mergeEdits(BASE, { ...BASE, landmark: 'by the bench' }, { ...BASE, landmark: 'by the gate' });
    expect(merged.landmark).toBe('by the gate');
    expect(both).toEqual(['landmark']);
  });
});
