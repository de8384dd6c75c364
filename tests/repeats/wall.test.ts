import { describe, expect, it } from 'vitest';
import { wallOf } from '../../server/calc/zone.js';
import { atWall } from '../../server/repeats/wall.js';
import { walkFacts } from '../support/cast.js';

const NEW_YORK = 'America/New_York';
const CHICAGO = 'America/Chicago';
const on = (date: string, gather: string, setOff: string, zone: string, offset: number | null = null) =>
  atWall(walkFacts({ zone }), { date, gather, setOff, zone }, offset);

describe('a wall time on another date', () => {
  it.each([
    // Clocks go forward on March 14 and back on November 7, 2027.
    [NEW_YORK, '2027-03-13', '2027-03-13T13:45:00.000Z'],
    [NEW_YORK, '2027-03-14', '2027-03-14T12:45:00.000Z'],
    [NEW_YORK, '2027-11-06', '2027-11-06T12:45:00.000Z'],
    [NEW_YORK, '2027-11-07', '2027-11-07T13:45:00.000Z'],
    [CHICAGO, '2027-03-13', '2027-03-13T14:45:00.000Z'],
    [CHICAGO, '2027-03-14', '2027-03-14T13:45:00.000Z'],
    [CHICAGO, '2027-11-06', '2027-11-06T13:45:00.000Z'],
    [CHICAGO, '2027-11-07', '2027-11-07T14:45:00.000Z'],
  ])('in %s on %s reads 8:45 on the wall', (zone, date, instant) => {
    const found = on(date, '08:45', '09:00', zone);
    if (!('facts' in found)) throw new Error('missing');
    expect(new Date(found.facts.gatherAt).toISOString()).toBe(instant);
    expect(wallOf(found.facts.setOffAt, zone)).toEqual({ date, time: '09:00' });
    expect(found.doubled).toBeNull();
    expect(found.facts.doubledOffset).toBeNull();
  });

  it.each([NEW_YORK, CHICAGO])('in %s does not happen where the clocks go forward over it', (zone) => {
    expect(on('2027-03-14', '02:30', '03:30', zone)).toEqual({ missing: 'gather', time: '02:30' });
    expect(on('2027-03-14', '01:59', '02:00', zone)).toEqual({ missing: 'setOff', time: '02:00' });
    expect(on('2027-03-14', '01:45', '01:59', zone)).toHaveProperty('facts');
    expect(on('2027-03-14', '03:00', '03:15', zone)).toHaveProperty('facts');
  });

  it.each([
    [NEW_YORK, -240, '2027-11-07T05:30:00.000Z', '2027-11-07T06:30:00.000Z'],
    [CHICAGO, -300, '2027-11-07T06:30:00.000Z', '2027-11-07T07:30:00.000Z'],
  ])('in %s that happens twice is the first, unless the second is chosen', (zone, first, early, late) => {
    const at = (offset: number | null) => {
      const found = on('2027-11-07', '01:30', '03:00', zone, offset);
      if (!('facts' in found)) throw new Error('missing');
      return {
        at: new Date(found.facts.gatherAt).toISOString(),
        offset: found.facts.doubledOffset,
        choices: found.doubled?.choices.length,
      };
    };
    expect(at(null)).toEqual({ at: early, offset: first, choices: 2 });
    expect(at(first - 60)).toEqual({ at: late, offset: first - 60, choices: 2 });
    expect(at(0)).toEqual({ at: early, offset: first, choices: 2 });
  });

  it('asks for the hour that is doubled where only setting off is in it', () => {
    const found = on('2027-11-07', '00:45', '01:15', NEW_YORK, -300);
    if (!('facts' in found)) throw new Error('missing');
    expect(found.facts.setOffAt - found.facts.gatherAt).toBe(90 * 60_000);
    expect(found.facts.doubledOffset).toBe(-300);
  });
});
