import { describe, expect, it } from 'vitest';
import { momentOf } from '../../server/messages/moment.js';

const HOUR = 60 * 60_000;
const DAY = 24 * HOUR;
/** Dec 5 in New York: its midnight, gathering, setting off and the slowest's return. */
const MIDNIGHT = Date.UTC(2026, 11, 5, 5);
const GATHER = Date.UTC(2026, 11, 5, 13, 45);
const SET_OFF = GATHER + 15 * 60_000;
const FINISH = SET_OFF + 4 * HOUR;

const walk = { state: 'posted' as const, gatherAt: GATHER, setOffAt: SET_OFF, zone: 'America/New_York', wallDate: '2026-12-05' };
const at = (now: number) => momentOf(walk, FINISH, now);

describe('what can be written on a walk', () => {
  it('is to everyone signed up until people gather, and from then on to those who have a place', () => {
    expect(at(GATHER - 1)).toMatchObject({ audience: 'everyone' });
    expect(at(GATHER)).toMatchObject({ audience: 'confirmed' });
  });
  it('knows the day of the walk by the clocks there, until the slowest are back', () => {
    expect(at(MIDNIGHT - 1)).toMatchObject({ isDay: false, notBack: true });
    expect(at(MIDNIGHT)).toMatchObject({ isDay: true });
    expect(at(FINISH - 1)).toMatchObject({ isDay: true, notBack: true });
    expect(at(FINISH)).toMatchObject({ isDay: false, notBack: false });
  });
  it('knows that a walk that goes on after midnight is still under way', () => {
    const late = MIDNIGHT + DAY + HOUR;
    expect(momentOf(walk, late, late - 1)).toMatchObject({ isDay: true });
  });
  it('knows when it has set off', () => {
    expect(at(SET_OFF - 1)).toMatchObject({ hasSetOff: false });
    expect(at(SET_OFF)).toMatchObject({ hasSetOff: true });
  });
  it('ends fourteen days after it set off', () => {
    expect(at(SET_OFF + 14 * DAY - 1)).toMatchObject({ audience: 'confirmed' });
    expect(at(SET_OFF + 14 * DAY)).toEqual({ closed: 'long ago' });
  });
  it('goes on when the walk is closed, and not when it is cancelled or a draft', () => {
    expect(momentOf({ ...walk, state: 'closed' }, FINISH, FINISH)).toMatchObject({ audience: 'confirmed' });
    for (const state of ['cancelled', 'draft'] as const)
      expect(momentOf({ ...walk, state }, FINISH, GATHER - 1)).toEqual({ closed: state });
  });
});
