import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { firstWords, type StandingNote, withNotes } from '../../server/standing/rules.js';
import { lines, type Typed } from '../../server/web/forms.js';

const PARKING: StandingNote = { id: 1, title: 'Parking', body: 'Park at the weir.\nIt is free.', goesInto: 'directions' };
const WATER: StandingNote = { id: 2, title: 'Water', body: 'A litre of water', goesInto: 'bring' };
const LIMITS = { directions: 60, bring: 40, description: 50 };
const put = (typed: Typed, notes = [PARKING, WATER]) => withNotes(typed, notes, LIMITS);

describe('putting ticked notes in', () => {
  it('puts each at the end of its field and takes its tick away', () => {
    const { typed, faults } = put({ note: ['1', '2'], directions: 'Left\r\nRight', bring: '', routeName: 'Loop' });
    expect(faults).toEqual({});
    expect(typed).toEqual({
      note: [],
      directions: 'Left\nRight\nPark at the weir.\nIt is free.',
      bring: 'A litre of water',
      routeName: 'Loop',
    });
  });

  it('leaves what is not ticked, and ticks of notes that are not there', () => {
    expect(put({ note: '9', bring: 'Hat' }).typed).toEqual({ note: [], bring: 'Hat' });
    expect(put({ bring: 'Hat' }).typed).toEqual({ note: [], bring: 'Hat' });
  });

  it('does not put a paragraph twice, and takes part of a line for no paragraph', () => {
    expect(put({ note: '2', bring: 'Hat\nA litre of water' }).typed.bring).toBe('Hat\nA litre of water');
    expect(put({ note: '2', bring: 'A litre of water each' }).typed.bring).toBe('A litre of water each\nA litre of water');
  });

  it('fits to the last character, and with one more leaves the field and the tick as they were', () => {
    const room = LIMITS.bring - WATER.body.length - 1;
    expect(put({ note: '2', bring: 'x'.repeat(room) })).toMatchObject({ faults: {}, typed: { note: [] } });
    const full = put({ note: ['1', '2'], bring: 'x'.repeat(room + 1), directions: '' });
    expect(full.typed).toMatchObject({ bring: 'x'.repeat(room + 1), note: ['2'], directions: PARKING.body });
    expect(full.faults.bring).toContain('41');
  });

  it('twice is as once, and nothing that was typed is lost', () => {
    const text = fc.string({ maxLength: 70 });
    fc.assert(
      fc.property(fc.subarray(['1', '2', 'x']), text, text, (note, directions, bring) => {
        const once = put({ note, directions, bring });
        const twice = put({ ...once.typed, note });
        expect(lines(twice.typed, 'bring')).toBe(lines(once.typed, 'bring'));
        expect(lines(once.typed, 'bring').startsWith(lines({ bring }, 'bring'))).toBe(true);
        expect(lines(once.typed, 'directions').startsWith(lines({ directions }, 'directions'))).toBe(true);
      }),
    );
  });
});

describe('the first words', () => {
  it('are all of a short text, in one line, and a cut one ends between words', () => {
    expect(firstWords('Park\nhere.')).toBe('Park here.');
    expect(firstWords('x'.repeat(70))).toBe('x'.repeat(70));
    expect(firstWords(`${'word '.repeat(14)}end`)).toBe(`${'word '.repeat(14).trim()}…`);
    expect(firstWords('x'.repeat(71))).toBe(`${'x'.repeat(70)}…`);
  });
});
