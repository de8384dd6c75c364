import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { firstAid } from '../../server/joining/first-aid.js';
import { agreementNeeds, EARLY_MS, holdsFor, isPostingOpen, maySignNow, monthsLater, nextDue } from '../../server/joining/renewal.js';
import { groupSettings } from '../../server/settings/rules.js';
import { NOON } from '../support/app.js';
import { DAY } from './stage.js';

describe('when an agreement is due', () => {
  it('counts months by the calendar', () => {
    expect(monthsLater(Date.UTC(2026, 10, 25, 12), 12)).toBe(Date.UTC(2027, 10, 25, 12));
    expect(monthsLater(Date.UTC(2028, 1, 29, 8), 12)).toBe(Date.UTC(2029, 1, 28, 8));
    expect(monthsLater(Date.UTC(2026, 7, 31), 6)).toBe(Date.UTC(2027, 1, 28));
    expect(monthsLater(Date.UTC(2026, 0, 31), 1)).toBe(Date.UTC(2026, 1, 28));
  });

  it('is never sooner than so many whole months of 28 days, nor later than of 31', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4e12 }), fc.integer({ min: 1, max: 36 }), (at, months) => {
        const days = (monthsLater(at, months) - at) / DAY;
        expect(days).toBeGreaterThanOrEqual(28 * months);
        expect(days).toBeLessThanOrEqual(31 * months);
      }),
    );
  });

  it('closes posting at that instant, and not a millisecond before', () => {
    expect(isPostingOpen({ dueAt: NOON }, NOON - 1)).toBe(true);
    expect(isPostingOpen({ dueAt: NOON }, NOON)).toBe(false);
  });

  it('is shown to coordinators from 30 days before on, and as closed from its own instant', () => {
    const dueAt = NOON + 30 * DAY;
    expect([NOON - 1, NOON, dueAt - 1, dueAt].map((now) => agreementNeeds({ dueAt }, now))).toEqual([null, 'due', 'due', 'closed']);
  });

  it('may be signed anew from 60 days before on; by someone who never signed at any time', () => {
    const signed = { dueAt: NOON + EARLY_MS, signedAt: NOON - DAY };
    expect(maySignNow(signed, NOON - 1)).toBe(false);
    expect(maySignNow(signed, NOON)).toBe(true);
    expect(maySignNow(signed, NOON + 400 * DAY)).toBe(true);
    expect(maySignNow({ dueAt: NOON + 90 * DAY, signedAt: null }, NOON)).toBe(true);
  });

  it('counts from its own end when it is renewed early, from the signing when it is late or the first', () => {
    const signedAt = NOON - 330 * DAY;
    const dueAt = NOON + 30 * DAY;
    expect(nextDue({ dueAt, signedAt }, NOON, 12)).toBe(monthsLater(dueAt, 12));
    expect(nextDue({ dueAt: NOON + EARLY_MS, signedAt }, NOON, 12)).toBe(monthsLater(NOON + EARLY_MS, 12));
    expect(nextDue({ dueAt: NOON + EARLY_MS + 1, signedAt }, NOON, 12)).toBe(monthsLater(NOON, 12));
    expect(nextDue({ dueAt: NOON + 1, signedAt }, NOON, 12)).toBe(monthsLater(NOON + 1, 12));
    expect(nextDue({ dueAt: NOON, signedAt }, NOON, 12)).toBe(monthsLater(NOON, 12));
    expect(nextDue({ dueAt, signedAt: null }, NOON, 6)).toBe(monthsLater(NOON, 6));
  });

  it('holds for an applicant until the same hour so many months on', () => {
    const end = monthsLater(NOON, 12);
    expect(holdsFor(NOON, end - 1, 12)).toBe(true);
    expect(holdsFor(NOON, end, 12)).toBe(false);
    expect(holdsFor(null, NOON, 12)).toBe(false);
  });
});

describe('a first-aid certificate', () => {
  it('is valid on its last day where the group is, and has expired on the next', () => {
    const about = { settings: groupSettings.parse({}), zone: 'America/New_York' };
    // Midnight in New York is five in the morning, UTC.
    const midnight = Date.UTC(2027, 2, 2, 5);
    expect(firstAid('2027-03-01', { ...about, now: midnight - 1 })).toEqual({ words: 'first aid until Mon, Mar 1, 2027', expired: false });
    expect(firstAid('2027-03-01', { ...about, now: midnight })).toEqual({ words: 'first aid expired Mon, Mar 1, 2027', expired: true });
    expect(firstAid(null, { ...about, now: midnight })).toBeNull();
  });
});
