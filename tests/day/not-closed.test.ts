import { describe, expect, it } from 'vitest';
import { dueAt, remindedNow, setOffsDue } from '../../server/day/not-closed.js';

const HOUR_MS = 60 * 60 * 1000;
const WALK = { wallDate: '2026-12-05', zone: 'America/New_York' };
/** 18:00 EST on the day after. */
const LEADER = Date.UTC(2026, 11, 6, 23);
const COORDINATOR = LEADER + 24 * HOUR_MS;

describe('who is reminded of a walk that nobody closed', () => {
  it('its leaders at six in the evening of the next day, by its own clock', () => {
    expect(dueAt(WALK)).toEqual({ leader: LEADER, coordinator: COORDINATOR });
    expect(dueAt({ ...WALK, zone: 'America/Chicago' }).leader).toBe(LEADER + HOUR_MS);
    // The clocks go forward that night: the evening comes an hour sooner.
    expect(dueAt({ wallDate: '2027-03-13', zone: 'America/New_York' }).leader).toBe(Date.UTC(2027, 2, 14, 22));
    expect(remindedNow(WALK, LEADER - 1)).toEqual([]);
    expect(remindedNow(WALK, LEADER)).toEqual(['leader']);
  });

  it('the coordinators an evening later', () => {
    expect(remindedNow(WALK, COORDINATOR - 1)).toEqual(['leader']);
    expect(remindedNow(WALK, COORDINATOR)).toEqual(['leader', 'coordinator']);
  });

  it('nobody once two days have gone by since', () => {
    expect(remindedNow(WALK, LEADER + 48 * HOUR_MS - 1)).toContain('leader');
    expect(remindedNow(WALK, LEADER + 48 * HOUR_MS)).not.toContain('leader');
    expect(remindedNow(WALK, COORDINATOR + 48 * HOUR_MS)).toEqual([]);
  });

  it('is looked for among set-offs that hold every walk due', () => {
    for (const zone of ['Pacific/Kiritimati', 'Etc/GMT+12'])
      for (const at of ['00:00', '23:59']) {
        const due = dueAt({ wallDate: '2026-12-05', zone });
        const offset = zone === 'Etc/GMT+12' ? 12 : -14;
        const setOff = Date.parse(`2026-12-05T${at}Z`) + offset * HOUR_MS;
        for (const now of [due.leader, due.coordinator + 48 * HOUR_MS - 1]) {
          const { from, until } = setOffsDue(now);
          expect(setOff >= from && setOff <= until).toBe(true);
        }
      }
  });
});
