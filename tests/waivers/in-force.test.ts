import { describe, expect, it } from 'vitest';
import { seasonBegan, seasonEnd } from '../../server/settings/season.js';
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
    unproved: false,
    ...changed,
  };
}

const ANA: Signing = { email: 'ana@walkers.example', forName: 'Ana  FERREIRA', signedAs: 'self', signerName: 'ana ferreira' };

it('a season is over twelve hours after the last day of its event is over in UTC, when that day is over everywhere', () => {
  expect(seasonEnd({ eventDay: '2027-06-12', eventDays: 2 })).toBe(END);
  expect(seasonEnd({ eventDay: '2027-06-12', eventDays: 1 })).toBe(END - 24 * 60 * 60 * 1000);
  expect(seasonEnd({ eventDay: '', eventDays: 2 })).toBeNull();
});

it('a season begins where the last one ended, also once the next event is set', () => {
  const event = { eventDay: '2027-06-12', eventDays: 2, eventSetAt: 0, pastSeasonEnd: 0 };
  expect(seasonBegan(event, END - 1)).toBeNull();
  expect(seasonBegan(event, END)).toBe(END);
  expect(seasonBegan({ ...event, eventDay: '2028-06-10', pastSeasonEnd: END }, END + 1)).toBe(END);
  expect(seasonBegan({ ...event, eventDay: '', pastSeasonEnd: END }, END + 1)).toBe(END);
  // A day that was over when it was set was a slip.
  expect(seasonBegan({ ...event, eventSetAt: END }, END + 1)).toBeNull();
  expect(seasonBegan({ ...event, eventSetAt: END - 1 }, END)).toBe(END);
});

describe('a signature of the text in force', () => {
  it('holds until the season ends, and one given after that holds on', () => {
    expect(holds([signature()], ANA, { began: null })).toBe(true);
    expect(holds([signature()], ANA, { began: END })).toBe(false);
    expect(holds([signature({ signedAt: END })], ANA, { began: END })).toBe(true);
  });

  it('holds for the walk it was signed with whatever the season', () => {
    expect(holds([signature()], ANA, { began: END, signUpId: 7 })).toBe(true);
    expect(holds([signature()], ANA, { began: END, signUpId: 8 })).toBe(false);
    // One from a list belongs to no sign-up.
    expect(holds([signature({ signUpId: null })], ANA, { began: END, signUpId: null })).toBe(false);
  });

  it("counts for someone with an address of their own in another's party only where it was shown to be theirs", () => {
    const unproved = signature({ unproved: true });
    expect(holds([unproved], ANA, { began: null })).toBe(true);
    expect(holds([unproved], { ...ANA, ownAddress: 'acted' }, { began: null })).toBe(false);
    expect(holds([signature()], { ...ANA, ownAddress: 'acted' }, { began: null })).toBe(true);
    // Until they acted on that party's link, only what was signed with it.
    expect(holds([signature()], { ...ANA, ownAddress: 'asked' }, { began: null, signUpId: 8 })).toBe(false);
    expect(holds([signature()], { ...ANA, ownAddress: 'asked' }, { began: null, signUpId: 7 })).toBe(true);
  });

  it.each([
    ['another address', { email: 'bea@walkers.example' }],
    ['someone else', { forKey: 'bea birch' }],
    ['another signer', { signerKey: 'bea birch' }],
    ['a guardian', { signedAs: 'guardian' as const }],
  ])('is not that of %s', (_, changed) => {
    expect(holds([signature(changed)], ANA, { began: null })).toBe(false);
  });
});
