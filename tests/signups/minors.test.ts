import { describe, expect, it } from 'vitest';
import { guardianOf } from '../../server/signups/guardian.js';
import { isMinorOn, type StoredMember, signingFor, underGuardians } from '../../server/signups/minors.js';
import { withParty } from '../../server/signups/party-buttons.js';
import type { Faults } from '../../server/web/forms.js';

const DAY = '2026-12-05';

function stored(id: number, changed: Partial<StoredMember> = {}): StoredMember {
  return { id, name: `Member ${id}`, minor: false, adultOn: '', guardianId: null, email: null, rulesAgreedAt: null, ...changed };
}

describe('who is under 18', () => {
  it('is whoever was booked so and has not turned 18 by the day of the walk: on the birthday they are not', () => {
    expect(isMinorOn({ minor: true, adultOn: '' }, DAY)).toBe(true);
    expect(isMinorOn({ minor: true, adultOn: '2026-12-06' }, DAY)).toBe(true);
    expect(isMinorOn({ minor: true, adultOn: '2026-12-05' }, DAY)).toBe(false);
    expect(isMinorOn({ minor: false, adultOn: '' }, DAY)).toBe(false);
  });
});

describe('whose signature is needed', () => {
  const ana = stored(1);
  const kid = stored(2, { minor: true, guardianId: 1 });

  it("is an adult's own, by their own address where they have one", () => {
    expect(signingFor(ana, [ana], 'ana@walkers.example', DAY)).toEqual({
      email: 'ana@walkers.example',
      forName: 'Member 1',
      signedAs: 'self',
      signerName: 'Member 1',
    });
    const ben = stored(3, { email: 'ben@walkers.example' });
    expect(signingFor(ben, [ana, ben], 'ana@walkers.example', DAY)?.email).toBe('ben@walkers.example');
  });

  it("is the guardian's for a minor, and nobody's where the guardian is gone or a minor", () => {
    const signing = { email: 'ana@walkers.example', forName: 'Member 2', signedAs: 'guardian', signerName: 'Member 1' };
    expect(signingFor(kid, [ana, kid], 'ana@walkers.example', DAY)).toEqual(signing);
    expect(signingFor(kid, [kid], 'ana@walkers.example', DAY)).toBeNull();
    expect(signingFor(kid, [stored(1, { minor: true }), kid], 'ana@walkers.example', DAY)).toBeNull();
  });

  it('is their own again once they are 18', () => {
    const grown = { ...kid, adultOn: DAY };
    expect(signingFor(grown, [ana, grown], 'ana@walkers.example', DAY)).toMatchObject({ signedAs: 'self', signerName: 'Member 2' });
  });
});

it('lists each adult with the minors they answer for, and a minor without a guardian at the end', () => {
  const row = (id: number, guardianId: number | null = null, isMinor = guardianId !== null) => ({ id, isMinor, guardianId });
  const party = [row(1), row(2, 3), row(3), row(4, 1), row(5, null, true)];
  expect(underGuardians(party).map((one) => one.id)).toEqual([1, 4, 3, 2, 5]);
});

describe('choosing a guardian', () => {
  const party = [
    { name: 'Ana Ferreira', minor: false },
    { name: 'Kit Ferreira', minor: true },
    { name: 'Kay Ferreira', minor: true },
  ];

  it('takes an adult of the party, by place or by name', () => {
    for (const typed of ['0', 'Ana Ferreira', 'ana  ferreira']) expect(guardianOf(typed, 1, party, {})).toBe(0);
  });

  it.each(['', '1', '2', '7', '-1', '0x0', 'Kay Ferreira', 'Someone Else'])('refuses %j with a sentence', (typed) => {
    const faults: Faults = {};
    expect(guardianOf(typed, 1, party, faults)).toBeNull();
    expect(faults['members[1][guardian]']).toContain('Choose the adult of your party who stays with Kit Ferreira');
    const alone: Faults = {};
    expect(guardianOf(typed, 0, [{ name: 'Kit Ferreira', minor: true }], alone)).toBeNull();
    expect(alone['members[0][guardian]']).toContain('add an adult');
  });
});

describe("the party's buttons", () => {
  const typed = {
    members: [
      { name: 'Ana' },
      { name: 'Ben' },
      { name: 'Kit', minor: 'yes', guardian: '1' },
      { name: 'Kay', minor: 'yes', guardian: '0' },
      { name: 'Col' },
      { name: 'Kim', minor: 'yes', guardian: '4' },
    ],
  };

  it('take a guardian out with the minors they are there for, and leave the others with theirs', () => {
    const { typed: after, alsoRemoved } = withParty(typed, { add: null, remove: '1' });
    expect(alsoRemoved).toEqual(['Kit']);
    expect(after.members).toEqual([
      { name: 'Ana' },
      { name: 'Kay', minor: 'yes', guardian: '0' },
      { name: 'Col' },
      { name: 'Kim', minor: 'yes', guardian: '2' },
    ]);
  });

  it('take one minor out alone, and add an adult or a minor', () => {
    const { typed: after, alsoRemoved } = withParty(typed, { add: 'minor', remove: '2' });
    expect(alsoRemoved).toEqual([]);
    expect((after.members as { name?: string }[]).map((one) => one.name)).toEqual(['Ana', 'Ben', 'Kay', 'Col', 'Kim', undefined]);
    expect((after.members as object[]).at(-1)).toEqual({ minor: 'yes' });
  });
});
