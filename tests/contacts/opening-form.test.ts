import { describe, expect, it } from 'vitest';
import { readIncident, readOpening } from '../../server/contacts/opening-form.js';

const KNOWN = new Set([4, 7]);

describe("a leader's reason", () => {
  it('is one of the list, with words or without; no person is everyone', () => {
    expect(readOpening({ reason: 'missing', why: '', member: '' }, KNOWN)).toEqual({ reason: 'missing', why: null, member: null });
    expect(readOpening({ reason: 'missing', member: 'everyone' }, KNOWN)).toEqual({ reason: 'missing', why: null, member: null });
    expect(readOpening({ reason: 'hurt', why: 'a  fall', member: '7' }, KNOWN)).toEqual({
      reason: 'hurt',
      why: 'a fall',
      member: 7,
    });
    expect(readOpening({ reason: 'other', why: 'bus is late' }, KNOWN)).toEqual({ reason: 'other', why: 'bus is late', member: null });
  });

  it.each([
    ['reason', { reason: '' }],
    ['reason', { reason: 'toString' }],
    ['why', { reason: 'other', why: ' ' }],
    ['why', { reason: 'hurt', why: 'x'.repeat(201) }],
    ['member', { reason: 'hurt', member: '5' }],
    ['member', { reason: 'hurt', member: '4.0' }],
  ])('wants its %s mended: %o', (field, typed) => {
    const read = readOpening({ member: '', why: '', ...typed }, KNOWN);
    expect('faults' in read && Object.keys(read.faults)).toEqual([field]);
  });

  it('takes 200 characters', () => {
    expect(readOpening({ reason: 'other', why: 'x'.repeat(200) }, KNOWN)).toEqual({
      reason: 'other',
      why: 'x'.repeat(200),
      member: null,
    });
  });
});

describe('an incident', () => {
  it('is about one person, and says what happened in ten characters', () => {
    expect(readIncident({ why: 'fell twice', member: '4' }, KNOWN)).toEqual({ reason: 'incident', why: 'fell twice', member: 4 });
    for (const typed of [
      { member: '', why: 'fell twice' },
      { member: '9', why: 'fell twice' },
      { member: 'everyone', why: 'fell twice' },
    ]) {
      const read = readIncident(typed, KNOWN);
      expect('faults' in read && Object.keys(read.faults)).toEqual(['member']);
    }
    const short = readIncident({ why: 'fell once', member: '4' }, KNOWN);
    expect('faults' in short && Object.keys(short.faults)).toEqual(['why']);
  });
});
