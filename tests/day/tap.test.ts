import { describe, expect, it } from 'vitest';
import { guardianWarnings, minorsWith } from '../../server/day/guardians.js';
import type { Said } from '../../server/day/ledger.js';
import type { RollEntry, RollPerson } from '../../server/day/roll-state.js';
import { readTap } from '../../server/day/tap.js';
import { groupTimer, setOffTime } from '../../server/day/timer.js';

const adult = (who: string, name: string): RollPerson => ({
  who,
  name,
  minor: false,
  guardian: null,
  guardianWho: null,
  waiver: true,
  withoutPlace: false,
});
const ANA = adult('m1', 'Ana Ferreira');
const KIT: RollPerson = { ...adult('m2', 'Kit Ferreira'), minor: true, guardian: 'Ana Ferreira', guardianWho: 'm1' };
const CAL = adult('m3', 'Cal Whitlock');
const people = [ANA, KIT, CAL];

let number = 0;
const say = (who: string, said: Said, after: string[] = [], at = 0): RollEntry => {
  number += 1;
  return { entry: `entry-of-a-phone-${number}`, who, said, after, at };
};
const arrived = (...who: string[]) => who.map((one) => say(one, { kind: 'arrived' }));
const roll = (entries: RollEntry[]) => ({
  people,
  entries,
  stops: [
    { n: 1, name: 'Weir' },
    { n: 2, name: 'Mill' },
  ],
  leaders: [{ who: 'p7', name: 'Lena Marsh' }],
});
const SET_OFF: Said = { kind: 'group', at: 'set off' };

describe('the group sets off', () => {
  it('with a back marker only', () => {
    const before = roll(arrived('m1', 'm3'));
    expect(readTap({ who: 'group', kind: 'set off', back: '' }, before)).toEqual({ faults: { back: 'Choose who walks last.' } });
    const tap = readTap({ who: 'group', kind: 'set off', back: 'p7' }, before);
    expect('entries' in tap && tap.entries.map((one) => [one.who, one.said])).toEqual([
      ['back', { kind: 'back', who: 'p7' }],
      ['group', SET_OFF],
      ['m1', { kind: 'set off' }],
      ['m3', { kind: 'set off' }],
    ]);
  });

  it('with the back marker named before', () => {
    const back = say('back', { kind: 'back', who: 'm3' });
    const tap = readTap({ who: 'group', kind: 'set off', back: '' }, roll([back, ...arrived('m1')]));
    expect('entries' in tap && tap.entries.map((one) => one.who)).toEqual(['group', 'm1']);
  });

  it('with no minor, stranger or somebody gone as back marker', () => {
    for (const back of ['m2', 'm99', 'p99', 'nonsense'])
      expect(readTap({ who: 'group', kind: 'set off', back }, roll(arrived('m1', 'm2')))).toHaveProperty('faults.list');
  });

  it('with somebody, and once', () => {
    expect(readTap({ who: 'group', kind: 'set off', back: 'p7' }, roll([]))).toHaveProperty('faults.list');
    const away = roll([say('group', SET_OFF), say('back', { kind: 'back', who: 'p7' }), ...arrived('m1')]);
    expect(readTap({ who: 'group', kind: 'set off', back: '' }, away)).toEqual({ entries: [] });
  });
});

describe('heads counted', () => {
  const out = [say('group', { kind: 'group', at: 'stop', stop: 1 }), say('m1', { kind: 'set off' }), say('m3', { kind: 'set off' })];
  const counted = (heads: string, at = 'stop 1') => readTap({ who: 'all', kind: 'all', heads, at }, roll(out));
  it('that agree with the roll put everyone there', () => {
    const tap = counted('2');
    expect('entries' in tap && tap.entries.map((one) => [one.who, one.said])).toEqual([
      ['m1', { kind: 'stop', stop: 1 }],
      ['m3', { kind: 'stop', stop: 1 }],
    ]);
  });
  it.each(['1', '3', '', 'two', '-2', '99999'])('that do not (%s) put nobody there, and say so', (heads) => {
    expect(counted(heads)).toHaveProperty('faults.heads');
  });
  it('at another place, by an old page, put nobody there', () => {
    expect(counted('2', 'finish')).toHaveProperty('faults.list');
  });
});

describe('someone leaves early', () => {
  const LEFT = { kind: 'left', stop: '1', told: 'leader', home: 'taxi' };
  const said = { kind: 'left', stop: 1, told: 'leader', home: 'taxi' };
  const here = () => arrived('m1', 'm2', 'm3');

  it.each(['told', 'home', 'stop'])('not without %s', (field) => {
    expect(readTap({ who: 'm3', ...LEFT, [field]: '' }, roll(here()))).toMatchObject({
      who: 'm3',
      faults: { [field]: expect.any(String) },
    });
  });

  it('who answers for a minor not without saying who takes them', () => {
    const tap = readTap({ who: 'm1', ...LEFT }, roll(here()));
    expect(tap).toEqual({ who: 'm1', faults: { minors: 'Choose who Kit Ferreira goes with.' } });
    expect(readTap({ who: 'm1', ...LEFT, minors: 'm1' }, roll(here()))).toHaveProperty('faults.minors');
  });

  it('and takes the minors along', () => {
    const tap = readTap({ who: 'm1', ...LEFT, minors: 'along' }, roll(here()));
    expect('entries' in tap && tap.entries.map((one) => [one.who, one.said])).toEqual([
      ['m1', said],
      ['m2', said],
    ]);
  });

  it('and hands the minors over to an adult who walks', () => {
    const entries = here();
    const tap = readTap({ who: 'm1', ...LEFT, minors: 'm3' }, roll(entries));
    if (!('entries' in tap)) throw new Error('refused');
    expect(tap.entries.map((one) => one.said)).toEqual([said, { kind: 'with', minor: 'm2', guardian: 'm3' }]);
    const after = [...entries, ...tap.entries.map((one, index) => ({ ...one, entry: `handed-over-${index}`, at: 1 }))];
    expect(guardianWarnings(people, after)).toEqual([]);
    expect(minorsWith('m3', people, after).map((one) => one.who)).toEqual(['m2']);
    expect(readTap({ who: 'm1', ...LEFT, minors: 'm3' }, roll([...arrived('m1', 'm2')]))).toHaveProperty('faults.minors');
  });
});

describe('a tap', () => {
  it('answers what its page showed, and else what stands', () => {
    const [entry] = arrived('m1');
    if (!entry) throw new Error('none');
    const answered = (typed: object) => {
      const tap = readTap({ who: 'm1', kind: 'finished', ...typed }, roll([entry]));
      return 'entries' in tap ? tap.entries[0]?.after : null;
    };
    expect([answered({}), answered({ after: '' }), answered({ after: 'entry-seen-on-the-page,<nonsense>' })]).toEqual([
      [entry.entry],
      [],
      ['entry-seen-on-the-page'],
    ]);
  });

  it.each([
    { who: 'm99', kind: 'arrived' },
    { who: 'm1', kind: 'flown' },
    { who: 'm1', kind: 'stop', stop: '0' },
    { who: 'm1', kind: 'stop', stop: '3' },
    { who: 'group', kind: 'stop', stop: '3' },
    { who: 'group', kind: 'home' },
    { who: 'rest', kind: 'not walking' },
    { who: 'with', minor: 'm1', guardian: 'm3' },
    {},
  ])('that no page of ours makes is refused: %o', (typed) => {
    expect(readTap(typed, roll([]))).toHaveProperty('faults.list');
  });
});

describe('a minor on the roll', () => {
  const warned = (...entries: RollEntry[]) => guardianWarnings(people, entries).map((one) => one.sentence);
  const kit = (kind: 'arrived' | 'set off') => say('m2', { kind });
  const ana = (said: Said) => say('m1', said);
  it.each<[string, RollEntry[], RegExp | null]>([
    ['is warned of whose guardian has not arrived', [kit('arrived')], /has not arrived/],
    ['is warned of whose guardian is not walking', [kit('arrived'), ana({ kind: 'not walking' })], /is not walking/],
    ['is warned of whose guardian left', [kit('set off'), ana({ kind: 'left', stop: 0, told: 'leader', home: 'taxi' })], /left early/],
    ['is warned of who set off before the guardian', [kit('set off'), ana({ kind: 'arrived' })], /did not/],
    ['is warned of whose guardian is disputed', [kit('set off'), ana({ kind: 'finished' }), ana({ kind: 'not walking' })], /not settled/],
    ['is not warned of with the guardian here', [kit('arrived'), ana({ kind: 'arrived' })], null],
    ['is not warned of on the way with the guardian', [kit('set off'), ana({ kind: 'set off' })], null],
    ['is not warned of who is not here', [ana({ kind: 'not walking' })], null],
    [
      'is warned of who was handed to a minor',
      [kit('arrived'), ana({ kind: 'arrived' }), say('with', { kind: 'with', minor: 'm2', guardian: 'm2' })],
      /so is/,
    ],
  ])('%s', (_, entries, expected) => {
    const [sentence] = warned(...entries);
    if (expected === null) expect(sentence).toBeUndefined();
    else expect(sentence).toMatch(expected);
  });

  it('is warned of with nobody who answers for them', () => {
    const alone = [{ ...KIT, guardian: null, guardianWho: null }];
    expect(guardianWarnings(alone, [kit('arrived')])[0]?.sentence).toMatch(/nobody on this walk/);
  });
});

describe("the group's timer", () => {
  const planned = { setOffAt: 1000, windows: { stops: [{ fastest: 2000, slowest: 3000 }], finish: { fastest: 4000, slowest: 6000 } } };
  const off = say('group', SET_OFF, [], 1500);
  const stop = say('group', { kind: 'group', at: 'stop', stop: 1 }, [off.entry], 3400);

  it('moves every window by as much as the group set off late', () => {
    expect(groupTimer(planned, [off], 2500)).toMatchObject({
      setOffAt: 1500,
      outMs: 1000,
      next: { place: 1, fastest: 2500, slowest: 3500 },
      lateMs: 0,
    });
    expect(groupTimer(planned, [off, stop], 2500).next).toEqual({ place: 'finish', fastest: 4500, slowest: 6500 });
  });

  it('says late from the first ms after the slowest should be there', () => {
    expect([groupTimer(planned, [off], 3500).lateMs, groupTimer(planned, [off], 3501).lateMs]).toEqual([0, 1]);
    expect([groupTimer(planned, [], 1000).lateMs, groupTimer(planned, [], 1001).lateMs]).toEqual([0, 1]);
  });

  it('starts anew where the group was put back to gathering', () => {
    const back = say('group', { kind: 'group', at: 'gathering' }, [off.entry], 1600);
    expect(setOffTime([off, back])).toBeNull();
    expect(setOffTime([say('group', SET_OFF, [back.entry], 1900), back, off])).toBe(1900);
  });

  it('ends at the finish', () => {
    expect(groupTimer(planned, [off, say('group', { kind: 'group', at: 'finish' }, [off.entry], 7000)], 8000)).toMatchObject({
      next: null,
      lateMs: 0,
      outMs: 6500,
    });
  });
});
