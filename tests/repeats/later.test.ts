import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { laterEdit } from '../../server/repeats/later.js';
import { changedFacts } from '../../server/walks/edit.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { NOON } from '../support/app.js';
import { walkFacts } from '../support/cast.js';

const BASE = walkFacts();
const NEXT = walkFacts({ date: '2026-12-12' });
const NOBODY = { confirmed: 0, minorsSignedUp: 0 };

/** A walk with its instants anew. */
function at(changed: Partial<WalkFacts>, of: WalkFacts = BASE): WalkFacts {
  const { gatherAt: _, setOffAt: __, ...rest } = of;
  return walkFacts({ ...rest, ...changed });
}
const edit = (changed: Partial<WalkFacts>, later: Partial<WalkFacts> = {}, people = NOBODY) =>
  laterEdit(BASE, at(changed), { facts: at(later, NEXT), ...people }, NOON);

describe('what an edit makes of a later walk', () => {
  it('changes what was edited and nothing else', () => {
    const found = edit({ meetingPoint: 'North gate', bring: 'Hat' });
    expect(found).toMatchObject({ refused: '', kept: [] });
    expect(changedFacts(NEXT, found.facts).sort()).toEqual(['bring', 'meetingPoint']);
  });

  it('leaves a fact alone where the later walk has its own', () => {
    const found = edit({ meetingPoint: 'North gate', bring: 'Hat' }, { meetingPoint: 'South gate' });
    expect(found.kept).toEqual(['meeting point']);
    expect(found.facts).toMatchObject({ meetingPoint: 'South gate', bring: 'Hat' });
  });

  it('takes a place as one thing: another landmark is another meeting point', () => {
    const found = edit({ meetingPoint: 'North gate' }, { landmark: 'the red door' });
    expect(found.kept).toEqual(['meeting point']);
    expect(found.facts.meetingPoint).toBe('Weir car park');
  });

  it('says nothing where the later walk has the new value already', () => {
    expect(edit({ bring: 'Hat' }, { bring: 'Hat' }).kept).toEqual([]);
  });

  it('keeps the clock on the wall over a change of the clocks', () => {
    const winter = at({ date: '2027-03-13' });
    const summer = at({ date: '2027-03-20' });
    const found = laterEdit(winter, at({ gather: '08:30' }, winter), { facts: summer, ...NOBODY }, NOON);
    expect(found.facts).toEqual(at({ gather: '08:30' }, summer));
    expect(new Date(found.facts.gatherAt).toISOString()).toBe('2027-03-20T12:30:00.000Z');
  });

  it('moves the date by as many days where the weekday changed', () => {
    expect(edit({ date: '2026-12-06' }).facts).toEqual(at({ date: '2026-12-13' }));
    expect(edit({ date: '2026-12-03' }).facts).toEqual(at({ date: '2026-12-10' }));
  });

  it('leaves the date where the walk was put off by whole weeks, and says so', () => {
    for (const date of ['2026-12-19', '2026-12-26']) {
      const found = edit({ date });
      expect(found.facts).toEqual(NEXT);
      expect(found.kept).toEqual(['date: the weekday stays the same']);
    }
  });

  it('refuses an hour that the clocks skip on the later date', () => {
    const sunday = at({ date: '2027-03-13' });
    const found = laterEdit(BASE, at({ date: '2026-12-06', gather: '02:30', setOff: '03:30' }), { facts: sunday, ...NOBODY }, NOON);
    expect(found).toMatchObject({ date: '2027-03-14', refused: expect.stringContaining('02:30') });
    expect(found.facts).toEqual(sunday);
  });

  it('refuses a date that has passed, or is more than a year ahead', () => {
    const far = at({ date: '2027-11-26' });
    const on = (later: WalkFacts, date: string) => laterEdit(BASE, at({ date }), { facts: later, ...NOBODY }, NOON).refused;
    // Noon in London is before 8:45 in New York: a year and a day ahead ends between these two.
    expect(on(far, '2026-12-04')).toBe('');
    expect(on(far, '2026-12-06')).toContain('a year ahead');
    expect(on(at({ date: '2026-11-26' }), '2026-12-04')).toBe('');
    expect(on(at({ date: '2026-11-26' }), '2026-12-03')).toContain('past');
  });

  it('does not take places from people who have them', () => {
    expect(edit({ capacity: 8 }, {}, { confirmed: 8, minorsSignedUp: 0 })).toMatchObject({ kept: [], facts: { capacity: 8 } });
    expect(edit({ capacity: 7 }, {}, { confirmed: 8, minorsSignedUp: 0 })).toMatchObject({
      kept: ['places: 8 are confirmed'],
      facts: { capacity: 12 },
    });
  });

  it('goes on taking under-18s who are signed up', () => {
    const base = at({ minors: true });
    const later = at({ minors: true }, NEXT);
    const found = (minorsSignedUp: number) => laterEdit(base, BASE, { facts: later, confirmed: 2, minorsSignedUp }, NOON).facts.minors;
    expect([found(0), found(1)]).toEqual([false, true]);
  });

  it('does not carry over when the route was seen, nor why a walk goes ahead', () => {
    expect(edit({ seenOn: '2026-11-20', explained: { dusk: 'Bring a light' } }).facts).toEqual(NEXT);
  });

  it('whatever is edited: each fact is the old, the new, or follows from them, and doing it twice changes nothing more', () => {
    const some = fc.record(
      {
        date: fc.constantFrom('2026-12-04', '2026-12-06', '2026-12-12'),
        gather: fc.constantFrom('08:30', '08:15'),
        meetingPoint: fc.constantFrom('North gate', 'South gate'),
        landmark: fc.constantFrom('by the oak', 'by the weir'),
        lat: fc.constantFrom(41.4, null),
        distanceMetres: fc.constantFrom(9000, 12_000),
        bring: fc.constantFrom('Hat', 'Water and a hat'),
        capacity: fc.integer({ min: 1, max: 30 }),
      },
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(some, some, fc.integer({ min: 0, max: 20 }), (changed, { date: _, ...own }, confirmed) => {
        const mine = at(changed as Partial<WalkFacts>);
        const later = at(own as Partial<WalkFacts>, NEXT);
        const found = laterEdit(BASE, mine, { facts: later, confirmed, minorsSignedUp: 0 }, NOON);
        expect(found.refused).toBe('');
        const plain = ['gather', 'meetingPoint', 'landmark', 'lat', 'distanceMetres', 'bring', 'capacity'] as const;
        for (const name of plain) expect([later[name], mine[name]]).toContain(found.facts[name]);
        for (const name of plain) if (later[name] !== BASE[name]) expect(found.facts[name]).toBe(later[name]);
        expect(found.facts).toEqual(at({}, found.facts));
        if (found.facts.capacity !== later.capacity) expect(found.facts.capacity).toBeGreaterThanOrEqual(confirmed);
      }),
    );
  });
});
