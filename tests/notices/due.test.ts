import { describe, expect, it } from 'vitest';
import { giveUpAt, holdUntil, isUrgent, pauseAfter, retryWait } from '../../server/notices/due.js';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const NOW = Date.UTC(2026, 10, 25, 12);

describe('when a notice is given up', () => {
  it('after three days, where gathering is later', () => {
    expect(giveUpAt(NOW, NOW + 3 * DAY + 1)).toBe(NOW + 3 * DAY);
  });
  it('at gathering, where that is first', () => {
    expect(giveUpAt(NOW, NOW + 3 * DAY - 1)).toBe(NOW + 3 * DAY - 1);
    expect(giveUpAt(NOW, NOW + 1)).toBe(NOW + 1);
  });
  it('an hour on, where gathering is over', () => {
    expect(giveUpAt(NOW, NOW)).toBe(NOW + HOUR);
    expect(giveUpAt(NOW, NOW - DAY)).toBe(NOW + HOUR);
  });
});

describe('the hold', () => {
  it('restarts at each edit', () => {
    expect(holdUntil(NOW, NOW, 3 * MINUTE, false)).toBe(NOW + 3 * MINUTE);
    expect(holdUntil(NOW + 2 * MINUTE, NOW, 3 * MINUTE, false)).toBe(NOW + 5 * MINUTE);
  });
  it('is never longer than three holds after the first edit', () => {
    expect(holdUntil(NOW + 6 * MINUTE, NOW, 3 * MINUTE, false)).toBe(NOW + 9 * MINUTE);
    expect(holdUntil(NOW + 7 * MINUTE, NOW, 3 * MINUTE, false)).toBe(NOW + 9 * MINUTE);
    expect(holdUntil(NOW + 10 * MINUTE, NOW, 3 * MINUTE, false)).toBe(NOW + 10 * MINUTE);
  });
  it('is none where it is set to none, or where some gathering is within a day', () => {
    expect(holdUntil(NOW, NOW, 0, false)).toBe(NOW);
    expect(holdUntil(NOW, NOW, 3 * MINUTE, true)).toBe(NOW);
    expect(isUrgent(NOW, [NOW + DAY + 1, NOW + 9 * DAY])).toBe(false);
    expect(isUrgent(NOW, [NOW + DAY, NOW + 9 * DAY])).toBe(true);
    expect(isUrgent(NOW, [NOW - HOUR])).toBe(true);
  });
});

describe('waits between tries', () => {
  it('grow to two hours and stay there', () => {
    expect([1, 2, 3, 4, 5, 6, 7, 40].map((attempts) => retryWait(attempts, false, 0.5) / MINUTE)).toEqual([1, 2, 5, 15, 60, 120, 120, 120]);
  });
  it('are no longer than a quarter of an hour where the server itself was away', () => {
    expect(retryWait(40, true, 0.5)).toBe(15 * MINUTE);
  });
  it('are spread by a fifth either way', () => {
    expect(retryWait(1, false, 0)).toBe(48_000);
    expect(retryWait(1, false, 1)).toBe(72_000);
  });
  it('leave an absent server alone for 2 seconds, then longer, a minute at most', () => {
    expect([1, 2, 3, 10, 2000].map((failures) => pauseAfter(failures) / 1000)).toEqual([2, 4, 8, 60, 60]);
  });
});
