import { describe, expect, it } from 'vitest';
import type { WalkContent } from '../../server/notices/content.js';
import { whyLeft } from '../../server/privacy/blank-log.js';
import { withoutNames } from '../../server/privacy/without-names.js';
import { walkFacts } from '../support/cast.js';

const NAMES = new Set(['Ana', 'Ben', 'waiting', 'self', 'Lantern Hills']);
const GONE = '[name erased]';

/** A mail's content with more in it. */
function content(more: Partial<WalkContent> & Record<string, unknown>): WalkContent {
  return {
    facts: walkFacts({ locality: 'Lantern Hills' }),
    version: 2,
    walkId: 1,
    uid: 'u',
    sequence: 0,
    title: 'Lantern Hills',
    areaName: 'Lantern Hills',
    finish: { fastest: 1, slowest: 2 },
    leader: { name: 'Ana', phone: null },
    signUp: { id: 1, state: 'waiting', party: ['Ana', 'Cy'] },
    ...more,
  };
}

describe('a mail without some names', () => {
  it('has none of them left, in whatever field, nor in one that nobody has thought of yet', () => {
    const shown = withoutNames(
      content({
        unsigned: ['Ben', 'Cy'],
        left: ['Ben'],
        toSign: { memberId: 1, email: 'a@walkers.example', bookedBy: 'Ana', minors: ['Ben', 'Dee'] },
        member: { memberId: 1, email: 'a@walkers.example', bookedBy: 'Ana', news: 'gone' },
        madeUp: { deep: [[{ down: 'Ana' }]], count: 3, none: null },
      }),
      NAMES,
    );
    expect(shown).toMatchObject({
      signUp: { id: 1, state: 'waiting', party: [GONE, 'Cy'] },
      unsigned: [GONE, 'Cy'],
      left: [GONE],
      toSign: { bookedBy: GONE, minors: [GONE, 'Dee'] },
      member: { bookedBy: GONE, news: 'gone' },
      madeUp: { deep: [[{ down: GONE }]], count: 3, none: null },
    });
  });

  it('keeps where the walk is, who leads it, and the words the program goes by', () => {
    const before = content({});
    const { facts, title, areaName, leader, signUp } = withoutNames(before, NAMES);
    expect([facts, title, areaName, leader, signUp.state]).toEqual([
      before.facts,
      'Lantern Hills',
      'Lantern Hills',
      before.leader,
      'waiting',
    ]);
  });

  it('has no signature of theirs, however they typed it, and those of others', () => {
    const one = {
      forName: 'Dee',
      signedAs: 'self',
      signerName: 'Dee',
      signature: 'D. Dee',
      signedAt: 1,
      textId: 1,
      version: 1,
      sha256: 'x',
    } as const;
    const waivers = [one, { ...one, forName: 'Ana', signerName: 'Ana', signature: 'A. Ferreira' }];
    expect(withoutNames(content({ waivers }), NAMES).waivers).toEqual([one, { ...one, forName: GONE, signerName: GONE, signature: GONE }]);
  });
});

describe('why emergency details were opened', () => {
  it('keeps the listed reason, and loses what was typed', () => {
    expect(whyLeft({ reason: 'hurt', why: 'Ana fell' })).toBeNull();
    const old = ['someone is missing', 'someone is missing: Ana, at the ford', 'sign-in sheet', 'Ana fell'];
    expect(old.map((why) => whyLeft({ reason: null, why }))).toEqual([
      'someone is missing',
      'someone is missing',
      'sign-in sheet',
      'Erased',
    ]);
  });
});
