import { describe, expect, it } from 'vitest';
import { planNotices, type Standing, type StandingNotice } from '../../server/notices/net.js';

const notice = (id: number, changed: Partial<StandingNotice> = {}): StandingNotice => ({
  id,
  kind: 'change',
  state: 'pending',
  version: 2,
  unsure: false,
  ...changed,
});
const standing = (changed: Partial<Standing>): Standing => ({
  over: false,
  version: 3,
  toldVersion: 1,
  signedUpVersion: 1,
  notices: [],
  ...changed,
});

describe('what is still owed', () => {
  it('starts from what the walker was told', () => {
    expect(planNotices(standing({})).bases).toEqual([1]);
  });
  it('brings a confirmation that never went up to date, and needs no change notice then', () => {
    const plan = planNotices(standing({ toldVersion: null, notices: [notice(7, { kind: 'confirmation', version: 1 })] }));
    expect(plan).toEqual({ replace: [], rewrite: [7], changes: [], bases: [] });
  });
  it('leaves one in flight alone and starts from it', () => {
    const plan = planNotices(standing({ toldVersion: null, notices: [notice(7, { kind: 'confirmation', version: 1, state: 'sending' })] }));
    expect(plan).toEqual({ replace: [], rewrite: [], changes: [], bases: [1] });
  });
  it('leaves one that may have arrived alone, while it waits and after it failed', () => {
    for (const state of ['pending', 'failed'] as const) {
      const plan = planNotices(standing({ notices: [notice(7, { unsure: true, state })] }));
      expect(plan).toEqual({ replace: [], rewrite: [], changes: [], bases: [2, 1] });
    }
  });
  it('forgets what may have arrived before something later was told', () => {
    expect(planNotices(standing({ toldVersion: 3, notices: [notice(7, { unsure: true, state: 'failed' })] })).bases).toEqual([3]);
  });
  it('merges pending change notices, and brings reminders up to date beside them: they tell the forecast, too', () => {
    const plan = planNotices(
      standing({ notices: [notice(7), notice(8), notice(9, { kind: 'reminder' }), notice(10, { kind: 'reminder', version: 3 })] }),
    );
    expect(plan).toEqual({ replace: [], rewrite: [9, 10], changes: [7, 8], bases: [1] });
  });
  it('does not count a reminder as news of a change', () => {
    const reminder = notice(7, { kind: 'reminder', state: 'sending', version: 3 });
    expect(planNotices(standing({ notices: [reminder] })).bases).toEqual([1]);
    expect(planNotices(standing({ toldVersion: null, notices: [reminder] })).bases).toEqual([3]);
  });
  it('does not leave a change to a reminder', () => {
    const reminder = notice(7, { kind: 'reminder', version: 1 });
    expect(planNotices(standing({ toldVersion: null, notices: [reminder] })).bases).toEqual([1]);
  });
  it('starts from the page the walker read where no mail ever arrived', () => {
    expect(planNotices(standing({ toldVersion: null, signedUpVersion: 2 })).bases).toEqual([2]);
  });
  it('sends nothing about when and where once it is over, but still the last word', () => {
    const notices = [notice(7), notice(8, { unsure: true }), notice(9, { state: 'sending' }), notice(10, { kind: 'cancellation' })];
    expect(planNotices(standing({ over: true, notices }))).toEqual({ replace: [7, 8], rewrite: [], changes: [], bases: [] });
  });
});
