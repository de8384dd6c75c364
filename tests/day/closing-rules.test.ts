import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  CLOSING_DEVICE,
  CORRECTED_FOR_MS,
  closingState,
  type Ended,
  endedBy,
  endedKey,
  endings,
  heardLate,
  metresOf,
  saidOf,
} from '../../server/day/closing-rules.js';
import { type Entry, headcount, mayClose, type PersonSaid, standing } from '../../server/day/ledger.js';
import { type Settled, settle } from '../../server/day/settle.js';
import type { Stop } from '../../server/walks/stops.js';

const stop = (metres: number, short: Stop['short'] = null): Stop => ({
  kinds: ['water'],
  name: '',
  metres,
  effortMetres: null,
  minutes: 0,
  short,
});
const WALK = { distanceMetres: 13_000, stops: [stop(3000, { rejoins: 13_000, length: 7000 }), stop(8000)] };
const WORD = { told: 'leader', home: 'driven' };

let made = 0;
const newId = () => {
  made += 1;
  return `entry-${String(made).padStart(12, '0')}`;
};
const entry = (who: string, said: PersonSaid, after: string[] = []): Entry => ({ entry: newId(), who, said, after });
const settled = (who: string, ended: Ended, more: Partial<Settled> = {}): Settled => ({ who, ended, word: WORD, seen: null, ...more });

describe('whether a walk may be closed', () => {
  const set = (said: PersonSaid) => headcount(['m1'], [entry('m1', said)]);

  it.each<[PersonSaid, boolean]>([
    [{ kind: 'expected' }, false],
    [{ kind: 'arrived' }, false],
    [{ kind: 'set off' }, false],
    [{ kind: 'stop', stop: 2 }, false],
    [{ kind: 'not walking' }, true],
    [{ kind: 'finished' }, true],
    [{ kind: 'left', stop: 1, told: 'leader', home: 'driven' }, true],
  ])('%j: %s', (said, may) => {
    expect(mayClose(set(said))).toBe(may);
  });

  it('not while two phones say different things', () => {
    const two = [entry('m1', { kind: 'not walking' }), entry('m1', { kind: 'finished' })];
    expect(mayClose(headcount(['m1'], two))).toBe(false);
  });

  it('a walk that nobody came to may be closed', () => {
    expect(mayClose(headcount([], []))).toBe(true);
  });

  it('not where the figures do not add up', () => {
    expect(mayClose({ ...headcount([], []), setOff: 3, finished: 2 })).toBe(false);
  });
});

describe('when it can be closed', () => {
  const posted = { state: 'posted' as const, setOffAt: 1000, closedAt: null };
  const closed = { state: 'closed' as const, setOffAt: 1000, closedAt: 5000 };

  it('from the set-off on', () => {
    expect(closingState(posted, 999)).toBe('early');
    expect(closingState(posted, 1000)).toBe('open');
  });

  it('or once its roll has the group at the finish', () => {
    expect(closingState(posted, 999, true)).toBe('open');
    expect(closingState({ ...posted, state: 'cancelled' }, 999, true)).toBe('never');
  });

  it('and be put right for two weeks', () => {
    expect(closingState(closed, 5000 + CORRECTED_FOR_MS - 1)).toBe('correctable');
    expect(closingState(closed, 5000 + CORRECTED_FOR_MS)).toBe('settled');
  });

  it('never a draft, nor a cancelled walk', () => {
    expect(closingState({ ...posted, state: 'draft' }, 2000)).toBe('never');
    expect(closingState({ ...posted, state: 'cancelled' }, 2000)).toBe('never');
  });
});

describe('how far someone walked', () => {
  it.each<[Ended, number]>([
    [{ how: 'full' }, 13_000],
    [{ how: 'short', stop: 1 }, 7000],
    [{ how: 'short', stop: 2 }, 0],
    [{ how: 'left', stop: 0 }, 0],
    [{ how: 'left', stop: 2 }, 8000],
    [{ how: 'absent' }, 0],
  ])('%j: %i m', (ended, metres) => {
    expect(metresOf(ended, WALK)).toBe(metres);
  });

  it('offers a short way only where a stop has one, and each ending once', () => {
    expect(endings(WALK).map(endedKey)).toEqual(['full', 'short-1', 'left-0', 'left-1', 'left-2', 'absent']);
  });
});

describe('settling a roll from a form', () => {
  const close = (kept: Entry[], all: Settled[], roster = all.map(({ who }) => who)) => settle(roster, kept, all, newId);

  it('writes nothing where the roll says so already', () => {
    const kept = [
      entry('m1', { kind: 'finished' }),
      entry('m2', { kind: 'left', stop: 1, told: 'leader', home: 'driven' }),
      entry('m3', { kind: 'not walking' }),
    ];
    const all = [settled('m1', { how: 'short', stop: 1 }), settled('m2', { how: 'left', stop: 1 }), settled('m3', { how: 'absent' })];
    expect(close(kept, all)).toMatchObject({ entries: [], changed: [], mayClose: true });
  });

  it('answers what it puts right', () => {
    const kept = [entry('m1', { kind: 'set off' })];
    const { entries } = close(kept, [settled('m1', { how: 'left', stop: 2 })]);
    expect(entries).toMatchObject([{ who: 'm1', said: { kind: 'left', stop: 2 }, after: [kept[0]?.entry] }]);
  });

  it('leaves alone whoever was heard of since the form was opened', () => {
    const kept = [entry('m1', { kind: 'left', stop: 1, told: 'leader', home: 'taxi' })];
    const stale = close(kept, [settled('m1', { how: 'full' }, { seen: [] })]);
    expect(stale).toMatchObject({ entries: [], changed: ['m1'], mayClose: false });
    expect(close(kept, [settled('m1', { how: 'full' }, { seen: [kept[0]?.entry ?? ''] })]).entries).toHaveLength(1);
  });

  it('is not closed while somebody on the roll is missing from the form', () => {
    expect(close([], [settled('m1', { how: 'full' })], ['m1', 'm2'])).toMatchObject({ mayClose: false, counts: { unsettled: ['m2'] } });
  });

  const said = fc.oneof<fc.Arbitrary<PersonSaid>[]>(
    fc.constantFrom<PersonSaid>(
      { kind: 'expected' },
      { kind: 'not walking' },
      { kind: 'arrived' },
      { kind: 'set off' },
      { kind: 'finished' },
    ),
    fc.nat(2).map((at) => ({ kind: 'stop', stop: at })),
    fc.nat(2).map((at) => ({ kind: 'left', stop: at, told: 'leader', home: 'taxi' })),
  );
  const ledger = fc.array(fc.tuple(fc.constantFrom('m1', 'm2', 'tabcdefgh'), said, fc.boolean()), { maxLength: 12 });
  const chosen = fc.constantFrom(...endings(WALK));

  it('whatever the roll holds: a form that names everyone closes it, and posted again it adds nothing', () => {
    fc.assert(
      fc.property(ledger, fc.tuple(chosen, chosen, chosen), (rows, ways) => {
        const kept: Entry[] = [];
        for (const [who, one, answers] of rows)
          kept.push(entry(who, one, answers ? standing(kept.filter((known) => known.who === who)).heads : []));
        const all = ways.map((ended, index) => settled(['m1', 'm2', 'tabcdefgh'][index] ?? '', ended));
        const first = close(kept, all);
        expect(first.mayClose).toBe(true);
        const after = [...kept, ...first.entries];
        for (const { who, ended } of all) {
          const now = endedBy(standing(after.filter((known) => known.who === who)));
          expect(now && saidOf(now, WORD)?.kind).toBe(saidOf(ended, WORD)?.kind);
        }
        expect(close(after, all)).toMatchObject({ entries: [], mayClose: true });
      }),
      { numRuns: 300 },
    );
  });
});

describe('what is heard after the close', () => {
  const kept = (receivedAt: number, device = 'phone-1234') => ({ ...entry('m1', { kind: 'finished' }), receivedAt, device });

  it('is late from the first instant after it, and until somebody settles it', () => {
    expect([...heardLate([kept(1000)], 1000)]).toEqual([]);
    const late = kept(1001);
    expect([...heardLate([late], 1000)]).toEqual(['m1']);
    const answer = { ...entry('m1', { kind: 'finished' }, [late.entry]), receivedAt: 2000, device: CLOSING_DEVICE };
    expect([...heardLate([late, answer], 1000)]).toEqual([]);
  });

  it('a correction is not', () => {
    expect([...heardLate([kept(2000, CLOSING_DEVICE)], 1000)]).toEqual([]);
  });
});
