import { describe, expect, it } from 'vitest';
import { contactsGoAt, cutoff, periodWords, timetable } from '../../server/privacy/timetable.js';
import { saveSettings } from '../../server/settings/store.js';
import { NOON, openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';

const DAY_MS = 24 * 60 * 60_000;

describe('the timetable', () => {
  it('counts days by the clock and months by the calendar', () => {
    expect(cutoff({ days: 30 }, NOON)).toBe(NOON - 30 * DAY_MS);
    expect(cutoff({ months: 24 }, NOON)).toBe(Date.UTC(2024, 10, 25, 12));
    expect(cutoff({ months: 1 }, Date.UTC(2026, 2, 31, 8))).toBe(Date.UTC(2026, 1, 28, 8));
    expect(cutoff({ months: 12 }, Date.UTC(2028, 1, 29))).toBe(Date.UTC(2027, 1, 28));
    expect(cutoff({ months: 36 }, Date.UTC(2026, 0, 1))).toBe(Date.UTC(2023, 0, 1));
  });

  it('says periods in words', () => {
    const periods = [{ days: 1 }, { days: 30 }, { days: 365 }, { months: 24 }, { months: 18 }, { months: 12 }, { months: 1 }];
    expect(periods.map(periodWords)).toEqual(['1 day', '30 days', 'a year', '2 years', '18 months', '1 year', '1 month']);
  });

  it('removes emergency contacts so many days after the close, or after two days where nobody closed the walk', () => {
    const walk = { gatherAt: NOON, closedAt: null, cancelledAt: null };
    expect(contactsGoAt({ ...walk, closedAt: NOON + 5 }, { contactsKeptDays: 3 })).toBe(NOON + 5 + 3 * DAY_MS);
    expect(contactsGoAt(walk, { contactsKeptDays: 3 })).toBe(NOON + 5 * DAY_MS);
  });

  it('counts from the cancelling where that is earlier', () => {
    const walk = { gatherAt: NOON, closedAt: null };
    expect(contactsGoAt({ ...walk, cancelledAt: NOON - 20 * DAY_MS }, { contactsKeptDays: 3 })).toBe(NOON - 17 * DAY_MS);
    expect(contactsGoAt({ ...walk, cancelledAt: NOON + 3 * DAY_MS }, { contactsKeptDays: 3 })).toBe(NOON + 5 * DAY_MS);
  });
});

describe('the page about it', () => {
  it('shows every line of the timetable, with the group’s own settings', async () => {
    const site = await openSite();
    site.db.write((tx) => saveSettings(tx, { contactsKeptDays: 17, contactsFromHours: 31, contactsUntilHours: 43 }));
    const { text, status } = await layCast(site).browser('nobody').get('/privacy');
    expect(status).toBe(200);
    for (const { what, period, since } of Object.values(timetable(site.services.settings()))) {
      expect(text).toContain(what);
      expect(text).toContain(`${periodWords(period)} ${since}`);
    }
    expect(text).toContain('17 days after the walk, or after it is cancelled; then removed');
    expect(text).toContain('removed 17 days after the walk, or after it is cancelled, and at once if you withdraw');
    expect(text).toContain('A walk nobody closed counts as closed 48 hours after it gathered.');
    expect(text).toContain('Someone shut out by the coordinators stays');
    expect(text).toContain('from 31 hours before you gather until 43 hours after the walk is closed');
  });
});
