import { describe, expect, it } from 'vitest';
import { typedFrom } from '../../server/walks/form-page.js';
import { readStops } from '../../server/walks/form-stops.js';
import { stopLabel, stopRows } from '../../server/walks/stop-rows.js';
import type { Faults, Typed } from '../../server/web/forms.js';
import { walkFacts } from '../support/cast.js';

const WALK_METRES = 13_197;
const TOILETS: Typed = { kind: 'toilets', name: 'Lower lock', distance: '2.4', minutes: '10' };

function read(rows: Typed[], units: 'mi' | 'km' = 'mi') {
  const faults: Faults = {};
  const { stops } = readStops({ stops: rows }, WALK_METRES, { units, route: null }, faults);
  return { stops, faults };
}

describe("a form's stops", () => {
  it('are read in the order of the way, rows left empty being none', () => {
    const { stops, faults } = read([
      { kind: ['water', 'shop'], name: 'Kiln Lane', distance: '5.3' },
      { kind: '', name: '', distance: '', minutes: '' },
      TOILETS,
    ]);
    expect(faults).toEqual({});
    expect(stops).toEqual([
      { kinds: ['toilets'], name: 'Lower lock', metres: 3862, effortMetres: null, minutes: 10, short: null },
      { kinds: ['water', 'shop'], name: 'Kiln Lane', metres: 8530, effortMetres: null, minutes: 0, short: null },
    ]);
  });

  it('are typed in kilometres where the group counts so', () => {
    expect(read([{ ...TOILETS, distance: '3,9' }], 'km').stops[0]?.metres).toBe(3900);
  });

  it('carry a short way with where it comes back and what it makes; the finish where that is left empty', () => {
    const short: Typed = { kind: 'short option', name: 'Footbridge', distance: '3.9', length: '5.5' };
    expect(read([short]).stops[0]?.short).toEqual({ rejoins: WALK_METRES, length: 8851 });
    expect(read([{ ...short, rejoins: '7.7' }]).stops[0]?.short?.rejoins).toBe(12_392);
    // Ticking the box is what one forgets.
    expect(read([{ ...short, kind: 'regroup' }]).stops[0]).toMatchObject({ kinds: ['regroup'], short: { length: 8851 } });
  });

  it.each<[string, Typed, string]>([
    ['nothing ticked', { ...TOILETS, kind: '' }, 'kind'],
    ['a kind that there is not', { ...TOILETS, kind: 'cinema' }, 'kind'],
    ['no distance', { ...TOILETS, distance: '' }, 'distance'],
    ['a distance that is none', { ...TOILETS, distance: 'half-way' }, 'distance'],
    ['a place behind the start', { ...TOILETS, distance: '-1' }, 'distance'],
    ['a place beyond the finish', { ...TOILETS, distance: '8.3' }, 'distance'],
    ['minutes that are none', { ...TOILETS, minutes: 'ten' }, 'minutes'],
    ['more minutes than a stop has', { ...TOILETS, minutes: '241' }, 'minutes'],
    ['a name too long', { ...TOILETS, name: 'x'.repeat(81) }, 'name'],
    ['a short way without a length', { kind: 'short option', distance: '3' }, 'length'],
    ['a short way shorter than the way to it', { kind: 'short option', distance: '3', length: '2.9' }, 'length'],
    ['a short way that comes back before it leaves', { kind: 'short option', distance: '3', length: '5', rejoins: '3' }, 'rejoins'],
  ])('refuse %s, beside the field', (_, row, field) => {
    expect(Object.keys(read([TOILETS, row]).faults)).toEqual([`stops[1][${field}]`]);
  });

  it('may lie at the very end, and as far beyond as a rounded figure reaches', () => {
    expect(read([{ ...TOILETS, distance: '8.2' }]).stops[0]?.metres).toBe(WALK_METRES);
    expect(read([{ ...TOILETS, distance: '8.24' }]).stops[0]?.metres).toBe(WALK_METRES);
    expect(read([{ ...TOILETS, distance: '8.25' }]).faults).toHaveProperty('stops[0][distance]');
  });

  it('are thirty at most, six of them with a short way', () => {
    expect(read(Array.from({ length: 30 }, () => TOILETS)).faults).toEqual({});
    expect(read(Array.from({ length: 31 }, () => TOILETS)).faults).toHaveProperty('stops[0][name]');
    expect(read([...Array.from({ length: 30 }, () => TOILETS), {}, {}]).faults).toEqual({});
    const short: Typed = { kind: 'short option', distance: '3.9', length: '5.5' };
    expect(read(Array.from({ length: 6 }, () => short)).faults).toEqual({});
    expect(read(Array.from({ length: 7 }, () => short)).faults).toHaveProperty('stops[0][name]');
  });

  it('come back as they were typed, with a row to fill', () => {
    const facts = walkFacts({
      stops: [
        { kinds: ['regroup'], name: 'Footbridge', metres: 6276, effortMetres: null, minutes: 5, short: { rejoins: 12_392, length: 8851 } },
      ],
    });
    const typed = typedFrom(facts, 'lantern-hills', 'America/New_York', 'mi');
    const faults: Faults = {};
    expect(readStops(typed, facts.distanceMetres, { units: 'mi', route: null }, faults).stops).toEqual(facts.stops);
    expect(faults).toEqual({});
    const rows = stopRows(typed, { 'stops[0][name]': 'No.' });
    expect(rows.map((row) => row.fields.distance.value)).toEqual(['3.9', '']);
    expect(rows.map((row) => row.short.rejoins.value)).toEqual(['7.7', '']);
    expect(rows[0]).toMatchObject({ isShort: true, fields: { name: { id: 'stops-0-name', error: 'No.' } } });
    expect(stopLabel('stops[1][rejoins]')).toBe('Stop 2, where the short way comes back');
  });
});
