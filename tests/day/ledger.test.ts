import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  backMarker,
  byPerson,
  type Entry,
  groupAt,
  HOME,
  handedTo,
  headcount,
  mayClose,
  missingAt,
  type Said,
  standing,
  standingEntries,
  TOLD,
} from '../../server/day/ledger.js';

const ROSTER = ['m1', 'm2', 'm3', 'tsomebody-1'];

/** What one phone does: taps, hears what the other sent so far, and sends in pieces. */
type Step = { phone: 0 | 1; do: 'tap'; who: string; said: Said } | { phone: 0 | 1; do: 'hear' };

const personSaid = fc.oneof(
  fc.constantFrom('expected', 'not walking', 'arrived', 'set off', 'finished').map((kind) => ({ kind }) as Said),
  fc.integer({ min: 1, max: 3 }).map((stop): Said => ({ kind: 'stop', stop })),
  fc.record({
    kind: fc.constant('left' as const),
    stop: fc.integer({ min: 0, max: 3 }),
    told: fc.constantFrom(...TOLD),
    home: fc.constantFrom(...HOME),
  }),
);
const groupSaid = fc.oneof(
  fc.constantFrom('gathering', 'set off', 'finish').map((at) => ({ kind: 'group', at }) as Said),
  fc.integer({ min: 1, max: 3 }).map((stop): Said => ({ kind: 'group', at: 'stop', stop })),
);
const phone = fc.constantFrom(0 as const, 1 as const);
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 6, arbitrary: fc.record({ phone, do: fc.constant('tap' as const), who: fc.constantFrom(...ROSTER), said: personSaid }) },
  { weight: 1, arbitrary: fc.record({ phone, do: fc.constant('tap' as const), who: fc.constant('group'), said: groupSaid }) },
  {
    weight: 1,
    arbitrary: fc.record({
      phone,
      do: fc.constant('tap' as const),
      who: fc.constant('back'),
      said: fc.constantFrom(...ROSTER).map((who): Said => ({ kind: 'back', who })),
    }),
  },
  { weight: 2, arbitrary: fc.record({ phone, do: fc.constant('hear' as const) }) },
);

/** A day on two phones whose clocks are wrong, as each then sends it. */
const day = fc
  .record({ steps: fc.array(step, { maxLength: 60 }), skewMs: fc.tuple(fc.integer(), fc.integer()) })
  .map(({ steps, skewMs }) => {
    const knows: [Timed[], Timed[]] = [[], []];
    const made: Timed[] = [];
    for (const [index, one] of steps.entries()) {
      const mine = knows[one.phone];
      if (one.do === 'hear') {
        for (const entry of knows[1 - one.phone] ?? []) if (!mine.includes(entry)) mine.push(entry);
        continue;
      }
      const after = standingEntries(mine.filter((entry) => entry.who === one.who)).map((entry) => entry.entry);
      // Ids are drawn at random on a phone: their order says nothing of what came first.
      const entry = {
        entry: `${(index * 7919) % 1009}-of-phone-${one.phone}`,
        who: one.who,
        said: one.said,
        after,
        at: index + (skewMs[one.phone] ?? 0),
      };
      mine.push(entry);
      made.push(entry);
    }
    return made;
  });

type Timed = Entry & { at: number };

/** All that the roll says. */
function read(entries: readonly Entry[]) {
  const people = byPerson(entries);
  return {
    people: ROSTER.map((who) => standing(people.get(who) ?? [])),
    count: headcount(ROSTER, entries),
    group: groupAt(entries),
    back: backMarker(entries),
    missing: [1, 2, 3].map((stop) => missingAt(stop, ROSTER, entries)),
  };
}

/** The same ledger as the service keeps it: in the order heard, an id once. */
function heard(order: readonly Timed[]): Timed[] {
  const kept = new Map<string, Timed>();
  for (const entry of order) if (!kept.has(entry.entry)) kept.set(entry.entry, entry);
  return [...kept.values()];
}

describe('the ledger of two phones', () => {
  it('comes to the same roll in whatever order it is heard, and however often', () => {
    const shuffled = day.chain((made) =>
      fc.record({
        made: fc.constant(made),
        order: fc.shuffledSubarray([...made, ...made], { minLength: made.length * 2, maxLength: made.length * 2 }),
      }),
    );
    fc.assert(
      fc.property(shuffled, ({ made, order }) => {
        expect(read(heard(order))).toEqual(read(made));
      }),
      { numRuns: 300 },
    );
  });

  it('says the same whatever the clocks of the phones say', () => {
    fc.assert(
      fc.property(day, fc.array(fc.integer()), (made, clocks) => {
        const skewed = made.map((entry, index) => ({ ...entry, at: clocks[index] ?? 0 }));
        expect(read([...skewed].sort((a, b) => a.at - b.at))).toEqual(read(made));
      }),
      { numRuns: 100 },
    );
  });

  it('shows the last that one phone said, where it is alone', () => {
    fc.assert(
      fc.property(day, (made) => {
        const alone = new Map<string, Timed[]>();
        for (const entry of made.filter((one) => one.entry.endsWith('phone-0') && ROSTER.includes(one.who)))
          alone.set(entry.who, [...(alone.get(entry.who) ?? []), entry]);
        for (const entries of alone.values()) {
          const chained = entries.map((entry, index) => ({ ...entry, after: index === 0 ? [] : [entries[index - 1]?.entry ?? ''] }));
          expect(standing(chained).said).toEqual([chained[chained.length - 1]?.said]);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('accounts for everyone: set off is finished, left, on the way and what is to be settled; and a walk with anyone else never closes', () => {
    fc.assert(
      fc.property(day, (made) => {
        const count = headcount(ROSTER, made);
        const states = read(made).people.map((one) => one.state);
        const unsure = states.filter((state) => state === 'disputed').length;
        const more = count.setOff - count.finished - count.left - count.onTheWay;
        expect(more).toBeGreaterThanOrEqual(0);
        expect(more).toBeLessThanOrEqual(unsure);
        const settled = states.every((state) => state === 'finished' || state === 'left' || state === 'not walking');
        expect(mayClose(count)).toBe(settled);
        expect(count.unsettled.length === 0).toBe(settled);
      }),
      { numRuns: 300 },
    );
  });

  it('never closes by what comes late: whoever is unaccounted for on one phone is so on the roll of both', () => {
    fc.assert(
      fc.property(day, (made) => {
        const entry: Timed = { entry: 'x-of-a-third-phone', who: 'm1', said: { kind: 'set off' }, after: [], at: 0 };
        const alone = made.filter((one) => one.who !== 'm1');
        expect(mayClose(headcount(ROSTER, [...alone, entry]))).toBe(false);
      }),
      { numRuns: 50 },
    );
  });
});

let number = 0;
const say = (said: Said, after: string[] = [], who = 'm1'): Entry => {
  number += 1;
  return { entry: `entry-${String(number).padStart(4, '0')}`, who, said, after };
};
const LEFT: Said = { kind: 'left', stop: 1, told: 'leader', home: 'driven' };

describe('where two phones differ', () => {
  it.each<[string, Said, Said, string]>([
    ['the one further along is right', { kind: 'stop', stop: 1 }, { kind: 'stop', stop: 2 }, 'stop'],
    ['finished is further than any stop', { kind: 'stop', stop: 3 }, { kind: 'finished' }, 'finished'],
    ['the same twice is no difference', LEFT, LEFT, 'left'],
    ['someone who left after a stop was there before', { kind: 'stop', stop: 1 }, LEFT, 'left'],
    ['left after stop 1 and counted at stop 2 can not both be', { kind: 'stop', stop: 2 }, LEFT, 'disputed'],
    ['left and finished can not both be', { kind: 'finished' }, LEFT, 'disputed'],
    ['not walking and arrived can not both be', { kind: 'not walking' }, { kind: 'arrived' }, 'disputed'],
    ['left with word to two people is to be settled', LEFT, { ...LEFT, told: 'guardian' }, 'disputed'],
  ])('%s', (_, one, other, state) => {
    expect(standing([say(one), say(other)]).state).toBe(state);
    expect(standing([say(other), say(one)]).state).toBe(state);
  });

  it('is settled by an entry that answers both', () => {
    const [one, other] = [say({ kind: 'finished' }), say(LEFT)];
    const settled = say(LEFT, [one.entry, other.entry]);
    expect(standing([settled, other, one])).toMatchObject({ state: 'left', said: [LEFT], heads: [settled.entry] });
    expect(headcount(['m1'], [one, other])).toMatchObject({ setOff: 1, disputed: 1, unsettled: ['m1'] });
  });

  it('counts someone whose entries answer each other in a ring as not settled', () => {
    const ring = [say({ kind: 'finished' }), say({ kind: 'finished' })];
    const [a, b] = ring;
    if (a && b) ring.splice(0, 2, { ...a, after: [b.entry] }, { ...b, after: [a.entry] });
    expect(mayClose(headcount(['m1'], ring))).toBe(false);
  });
});

describe('missing at a stop', () => {
  const at = (stop: number) => missingAt(stop, ['m1'], [say({ kind: 'stop', stop: 2 })]);
  it('is whoever was counted before it, and nobody counted there or beyond', () => {
    expect([at(1), at(2), at(3)]).toEqual([[], [], ['m1']]);
  });
  it('is nobody who never set off, left with word or finished', () => {
    for (const said of [{ kind: 'arrived' }, { kind: 'not walking' }, LEFT, { kind: 'finished' }] as Said[])
      expect(missingAt(1, ['m1'], [say(said)])).toEqual([]);
  });
});

describe('a minor handed over', () => {
  it('is with the last one named, and another minor is not', () => {
    const first = say({ kind: 'with', minor: 'm2', guardian: 'm3' }, [], 'with');
    const second = say({ kind: 'with', minor: 'm2', guardian: 'm4' }, [first.entry], 'with');
    const other = say({ kind: 'with', minor: 'm5', guardian: 'm3' }, [], 'with');
    expect([handedTo('m2', [other, second, first]), handedTo('m5', [second, other]), handedTo('m6', [first])]).toEqual(['m4', 'm3', null]);
  });
});
