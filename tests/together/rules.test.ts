import { describe, expect, it } from 'vitest';
import { readAnswer, readOffer } from '../../server/together/form.js';
import { type Candidate, mayChangeLeaders, offerFault, offerStanding } from '../../server/together/rules.js';
import { type Standing, standingWords } from '../../server/together/standing-words.js';

const GATHER = 1_000_000;
const POSTED = { state: 'posted', gatherAt: GATHER } as const;
const OTTO: Candidate = {
  personId: 5,
  name: 'Otto Blume',
  areaId: 1,
  areaName: 'Lantern Hills',
  part: null,
  walks: 0,
  busy: 0,
  hasLed: 1,
  agreementDueAt: 0,
};

describe('whether leaders can change', () => {
  it('ends at the instant of gathering', () => {
    expect(mayChangeLeaders(POSTED, GATHER - 1)).toBe(true);
    expect(mayChangeLeaders(POSTED, GATHER)).toBe(false);
  });

  it('is for drafts and posted walks only', () => {
    const may = (['draft', 'posted', 'cancelled', 'closed'] as const).map((state) => mayChangeLeaders({ state, gatherAt: GATHER }, 0));
    expect(may).toEqual([true, true, false, false]);
  });
});

describe('how an offer stands', () => {
  const open = { state: 'open' } as const;

  it('is open until the walk gathers', () => {
    expect(offerStanding(open, POSTED, true, GATHER - 1)).toBe('open');
    expect(offerStanding(open, POSTED, true, GATHER)).toBe('begun');
  });

  it('says what ended it: an answer first, then the walk, then who was asked', () => {
    const cancelled = { state: 'cancelled', gatherAt: GATHER } as const;
    expect(offerStanding({ state: 'accepted' }, cancelled, false, GATHER)).toBe('accepted');
    expect(offerStanding({ state: 'declined' }, cancelled, false, GATHER)).toBe('declined');
    expect(offerStanding({ state: 'withdrawn' }, cancelled, false, GATHER)).toBe('withdrawn');
    expect(offerStanding({ state: 'closed' }, cancelled, false, GATHER)).toBe('cancelled');
    expect(offerStanding(open, POSTED, false, 0)).toBe('stood down');
    expect(offerStanding({ state: 'closed' }, POSTED, true, 0)).toBe('closed');
  });
});

describe('what may be asked', () => {
  it('is not of oneself, nor of who has that part already', () => {
    expect(offerFault(undefined, 'hand-over', 2)).toBe('Choose a leader from the list.');
    expect(offerFault(OTTO, 'hand-over', 5)).toMatch(/^You cannot ask yourself/);
    expect(offerFault({ ...OTTO, part: 'leader' }, 'hand-over', 2)).toMatch(/^Otto Blume leads this walk already/);
    expect(offerFault({ ...OTTO, part: 'co-leader' }, 'co-leader', 2)).toMatch(/^Otto Blume shares this walk already/);
    expect(offerFault({ ...OTTO, part: 'co-leader' }, 'hand-over', 2)).toBe(null);
    expect(offerFault(OTTO, 'co-leader', 2)).toBe(null);
  });

  it('has a note of 300 characters at most', () => {
    const read = (note: string) => readOffer({ kind: 'hand-over', person: '5', stays: 'yes', note }, [OTTO], 2);
    expect(read('n'.repeat(300))).toEqual({ form: { kind: 'hand-over', toPersonId: 5, stays: true, note: 'n'.repeat(300) } });
    expect(read('n'.repeat(301))).toEqual({ faults: { note: 'Keep it to 300 characters; it has 301.' } });
  });

  it('keeps nobody on as co-leader where a walk is only shared, and names every fault', () => {
    expect(readOffer({ kind: 'co-leader', person: '5', stays: 'yes' }, [OTTO], 2)).toMatchObject({ form: { stays: false } });
    expect(Object.keys((readOffer({}, [OTTO], 2) as { faults: object }).faults)).toEqual(['kind', 'person']);
  });
});

it('an answer is one of two, with words of 300 characters at most', () => {
  expect(readAnswer({ answer: 'accept', words: 'w'.repeat(300) })).toEqual({ form: { accept: true, words: 'w'.repeat(300) } });
  expect(readAnswer({ answer: 'decline' })).toEqual({ form: { accept: false, words: '' } });
  expect(readAnswer({ answer: 'perhaps', words: 'w'.repeat(301) })).toMatchObject({
    faults: { answer: expect.any(String), words: expect.any(String) },
  });
});

describe('the words of an offer', () => {
  const words = (changed: Partial<Standing>) =>
    standingWords({ standing: 'open', lead: true, part: null, by: 'Lena Marsh', leader: 'Lena Marsh', ...changed });

  it('say what is the case now', () => {
    const said = (changed: Partial<Standing>) => `${words(changed).heading}. ${words(changed).sentence}`;
    expect(said({ standing: 'accepted', part: 'leader', leader: null })).toMatch(/^You lead this walk\. Thank you/);
    expect(said({ standing: 'accepted', part: 'co-leader' })).toBe('You share this walk. Thank you. Lena Marsh leads this walk now.');
    expect(said({ standing: 'accepted' })).toBe(
      'You said yes. Since then you were taken off this walk, or stepped back. Lena Marsh leads this walk now.',
    );
    expect(said({ standing: 'closed', leader: 'Coe Lindgren' })).toBe('Coe Lindgren leads it now. Coe Lindgren leads this walk now.');
    expect(said({ standing: 'withdrawn' })).toMatch(/Lena Marsh has taken the question back/);
    expect(said({ standing: 'begun', leader: null })).toMatch(/You lead this walk now\.$/);
    expect(said({ standing: 'stood down' })).toMatch(/speak to a coordinator/);
  });

  it('lead to the page of a walk only whom it lets in', () => {
    expect(words({ standing: 'accepted', part: 'leader' }).leads).toBe(true);
    expect(words({ standing: 'declined' }).leads).toBe(false);
    expect(words({ standing: 'stood down', part: 'co-leader' }).leads).toBe(false);
  });
});
