import { describe, expect, it } from 'vitest';
import { isOpen, openWindow, windowState } from '../../server/contacts/window.js';

const HOUR_MS = 60 * 60_000;
const GATHER = Date.UTC(2026, 11, 5, 13, 45);
const SETTINGS = { contactsFromHours: 24, contactsUntilHours: 24 };
const walk = (changed: { closedAt?: number; state?: 'draft' | 'posted' | 'closed' | 'cancelled' } = {}) => ({
  gatherAt: GATHER,
  closedAt: null,
  state: 'posted' as const,
  ...changed,
});

describe('the window', () => {
  it('opens at its first instant, and is closed again from its last', () => {
    const from = GATHER - 24 * HOUR_MS;
    expect([from - 1, from].map((now) => windowState(walk(), SETTINGS, now))).toEqual(['before', 'open']);
    const closedAt = GATHER + 5 * HOUR_MS;
    const until = closedAt + 24 * HOUR_MS;
    const closed = walk({ closedAt, state: 'closed' });
    expect([until - 1, until].map((now) => windowState(closed, SETTINGS, now))).toEqual(['open', 'after']);
  });

  it('goes by the settings', () => {
    const settings = { contactsFromHours: 2, contactsUntilHours: 7 };
    expect(openWindow(walk({ closedAt: GATHER + HOUR_MS }), settings)).toEqual({ from: GATHER - 2 * HOUR_MS, until: GATHER + 8 * HOUR_MS });
  });

  it('of a walk nobody closed counts from two days after gathering', () => {
    expect(openWindow(walk(), SETTINGS).until).toBe(GATHER + 72 * HOUR_MS);
  });

  it.each(['draft', 'cancelled'] as const)('never opens for a walk that is %s', (state) => {
    expect(windowState(walk({ state }), SETTINGS, GATHER)).toBe('none');
    expect(isOpen(walk({ state }), SETTINGS, GATHER)).toBe(false);
    expect(isOpen(walk(), SETTINGS, GATHER)).toBe(true);
  });
});
