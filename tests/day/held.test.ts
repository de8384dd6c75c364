import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { NewName, RollEntry, RollState } from '../../server/day/contract.js';
import { type Held, newest, shown, stillUnknown, stillUnsent } from '../../server/day/phone/held.js';
import { sentWords } from '../../server/day/phone/sent-words.js';
import { answering, undoOf } from '../../server/day/phone/undo.js';
import { readTap } from '../../server/day/tap.js';

const NOW = Date.UTC(2027, 3, 3, 13);
const MINUTE_MS = 60_000;

const entry = (id: string, who = 'm1', at = NOW): RollEntry => ({ entry: id, who, said: { kind: 'arrived' }, after: [], at });
const person = (who: string) => ({ who, name: who, minor: false, guardian: null, guardianWho: null, waiver: true, withoutPlace: false });

function state(changed: Partial<RollState> = {}): RollState {
  const window = { fastest: NOW, slowest: NOW };
  return {
    walk: 7,
    title: '8-mile walk',
    csrf: 'token',
    version: 1,
    zone: 'America/New_York',
    locale: 'en-US',
    clock: 12,
    gatherAt: NOW,
    setOffAt: NOW,
    stops: [{ n: 1, name: 'Weir bridge' }],
    windows: { stops: [window], finish: window },
    people: [person('m1'), person('m2')],
    leaders: [{ who: 'p7', name: 'Lena' }],
    entries: [],
    now: NOW,
    closed: false,
    ...changed,
  };
}

const held = (changed: Partial<Held> = {}): Held => ({ state: state(), unsent: [], names: [], clockAhead: 0, ...changed });

describe('what a phone holds', () => {
  it('shows what waits with what the service said, by the clock of the service, however wrong the phone is', () => {
    const clockAhead = 90 * MINUTE_MS;
    const phone = NOW - clockAhead;
    const roll = shown(held({ unsent: [entry('b', 'm2', phone)], clockAhead, state: state({ entries: [entry('a')] }) }), phone + MINUTE_MS);
    expect(roll.entries.map(({ entry: id, at }) => [id, at])).toEqual([
      ['a', NOW],
      ['b', NOW],
    ]);
    expect(roll.now).toBe(NOW + MINUTE_MS);
  });

  it('shows each once where the service has taken it and the phone has not heard so', () => {
    const names: NewName[] = [{ key: 'turned-up-1', name: 'Dee' }];
    const taken = state({ entries: [entry('a')], people: [person('m1'), { ...person('tturned-up-1'), name: 'Dee' }] });
    const roll = shown(held({ state: taken, unsent: [entry('a')], names }), NOW);
    expect(roll.entries).toHaveLength(1);
    expect(roll.people.map((one) => one.name)).toEqual(['m1', 'Dee']);
    expect(shown(held({ names }), NOW).people.map((one) => one.who)).toEqual(['m1', 'm2', 'tturned-up-1']);
  });

  it('never loses an entry, whichever answers come, in whatever order', () => {
    const id = fc.constantFrom(...'abcdefghij');
    const answers = fc.array(fc.record({ ids: fc.uniqueArray(id), now: fc.integer({ min: 0, max: 99 }) }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(fc.uniqueArray(id), answers, (tapped, heard) => {
        const all = heard.map(({ ids, now }) => state({ now, entries: ids.map((one) => entry(one)) }));
        const roll = all.reduce(newest);
        const unsent = all.reduce(
          (waiting, answer) => stillUnsent(waiting, answer),
          tapped.map((one) => entry(one)),
        );
        const have = new Set([...roll.entries, ...unsent].map((one) => one.entry));
        expect([...have].sort()).toEqual([...new Set([...tapped, ...heard.flatMap(({ ids }) => ids)])].sort());
        expect(roll.now).toBe(Math.max(...heard.map(({ now }) => now)));
        expect(unsent.filter((one) => roll.entries.some((known) => known.entry === one.entry))).toEqual([]);
      }),
    );
  });

  it('takes nothing off the queue before the service shows it', () => {
    expect(stillUnsent([entry('a'), entry('b'), entry('b')], { entries: [entry('a')] }).map((one) => one.entry)).toEqual(['b']);
    expect(stillUnknown([{ key: 'k', name: 'Dee' }], { people: [] })).toHaveLength(1);
  });
});

describe('taking a tap back', () => {
  const tapped = (roll: RollState, fields: Record<string, string>) => {
    const tap = readTap(fields, roll);
    if ('faults' in tap) throw new Error(JSON.stringify(tap.faults));
    return tap.entries;
  };

  it('says of each what stood before, answering what stands now', () => {
    const before = state({ entries: [entry('a')] });
    const undo = undoOf(tapped(before, { who: 'group', kind: 'set off', back: 'p7' }), before);
    expect(undo).toEqual([
      { who: 'group', said: { kind: 'group', at: 'gathering' } },
      { who: 'm1', said: { kind: 'arrived' } },
    ]);
    const after: RollEntry = { ...entry('b'), said: { kind: 'set off' }, after: ['a'] };
    expect(answering([{ who: 'm1', said: { kind: 'arrived' } }], [entry('a'), after])).toEqual([
      { who: 'm1', said: { kind: 'arrived' }, after: ['b'] },
    ]);
  });

  it('is not offered where two phones differed', () => {
    const differ = state({ entries: [entry('a'), { ...entry('b'), said: { kind: 'not walking' } }] });
    expect(undoOf(tapped(differ, { who: 'm1', kind: 'arrived' }), differ)).toBeNull();
  });
});

describe('what is said of the sending', () => {
  it.each([
    [{ unsent: 0, trouble: null, keeps: true }, 'All sent, 9:00'],
    [{ unsent: 3, trouble: null, keeps: true }, '3 not sent yet'],
    [{ unsent: 3, trouble: 'no signal', keeps: true }, 'No signal: 3 not sent yet'],
    [{ unsent: 3, trouble: 'no signal', keeps: false }, 'This phone keeps nothing: keep the signal, or use paper. 3 not sent.'],
    [{ unsent: 3, trouble: 'signed out', keeps: true }, 'You are signed out: 3 not sent. What was tapped stays on this phone.'],
  ] as const)('%j: %s', (sending, words) => {
    expect(sentWords(sending, '9:00').words).toBe(words);
  });
});
