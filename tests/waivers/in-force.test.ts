import { describe, expect, it } from 'vitest';
import { seasonEnd } from '../../server/settings/season.js';
import { holds, type Signed, type Signing } from '../../server/waivers/rules.js';

const END = Date.UTC(2027, 5, 14, 12);

function signature(changed: Partial<Signed> = {}): Signed {
  return {
    email: 'ana@walkers.example',
    forKey: 'ana ferreira',
    signedAs: 'self',
    signerKey: 'ana ferreira',
    signedAt: END - 1,
    signUpId: 7,
    ...changed,
  };
}

const ANA: Signing = { email: 'ana@walkers.example', forName: 'Ana  FERREIRA', signedAs: 'self', signerName: 'ana ferreira' };

it('a season is over twelve hours after the last day of its event is over in UTC, when that day is over everywhere', () => {
  expect(seasonEnd({ eventDay: '2027-06-12', eventDays: 2 })).toBe(END);
  expect(seasonEnd({ eventDay: '2027-06-12', eventDays: 1 })).toBe(END - 24 * 60 * 60 * 1000);
  expect(seasonEnd({ eventDay: '', eventDays: 2 })).toBeNull();
});

describe('a signature of the text in force', () => {
  it('holds until the season ends, and one given after that holds on', () => {
    expect(holds([signature()], ANA, { now: END - 1, seasonEnd: END })).toBe(true);
    expect(holds([signature()], ANA, { now: END, seasonEnd: END })).toBe(false);
    expect(holds([signature({ signedAt: END })], ANA, { now: END, seasonEnd: END })).toBe(true);
    expect(holds([signature()], ANA, { now: END + 1e9, seasonEnd: null })).toBe(true);
  });

  it('holds for the walk it was signed with whatever the season', () => {
    expect(holds([signature()], ANA, { now: END, seasonEnd: END, signUpId: 7 })).toBe(true);
    expect(holds([signature()], ANA, { now: END, seasonEnd: END, signUpId: 8 })).toBe(false);
    // One from a list belongs to no sign-up.
    expect(holds([signature({ signUpId: null })], ANA, { now: END, seasonEnd: END, signUpId: null })).toBe(false);
  });

  it.each([
    ['another address', { email: 'bea@walkers.example' }],
    ['someone else', { forKey: 'bea birch' }],
    ['another signer', { signerKey: 'bea birch' }],
    ['a guardian', { signedAs: 'guardian' as const }],
  ])('is not that of %s', (_, changed) => {
    expect(holds([signature(changed)], ANA, { now: 0, seasonEnd: null })).toBe(false);
  });
});
