import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMessage } from '../../server/messages/form.js';
import { GAPS } from '../../server/messages/gaps.js';

describe('a message as typed', () => {
  it('has a subject of one line and a text of several', () => {
    expect(readMessage({ subject: ' Bring\r\na hat ', text: 'One\r\nTwo\n' })).toEqual({
      form: { subject: 'Bring a hat', text: 'One\nTwo' },
    });
  });
  it('says both', () => {
    const read = readMessage({ subject: ' ', text: '' });
    expect('faults' in read && Object.keys(read.faults)).toEqual(['subject', 'text']);
  });
  it.each([
    ['subject', 80],
    ['text', 4000],
  ])('%s has an end', (field, most) => {
    const typed = (length: number) => ({ subject: 'Hat', text: 'Bring one.', [field]: 'a'.repeat(length) });
    expect(readMessage(typed(most))).toHaveProperty('form');
    expect(readMessage(typed(most + 1))).toEqual({ faults: { [field]: `Keep it under ${most} characters; it has ${most + 1}.` } });
  });
  it.each(Object.values(GAPS))('%s is a gap, wherever it stands and however it is written', (gap) => {
    const fault = `Put your own words in place of ${gap}, or take that line out.`;
    expect(readMessage({ subject: 'Late', text: `I am ${gap.toUpperCase()} late` })).toEqual({ faults: { text: fault } });
    expect(readMessage({ subject: `Late: ${gap}`, text: 'Sorry' })).toEqual({ faults: { subject: fault } });
    expect(readMessage({ subject: 'Late', text: `I am ${gap.slice(1, -1)} late` })).toHaveProperty('form');
  });
  it("leaves the writer's own brackets alone", () => {
    expect(readMessage({ subject: 'Late', text: 'See the map [page 2], [sic].' })).toHaveProperty('form');
  });
  it('is read or refused, whatever it is', () => {
    fc.assert(
      fc.property(fc.anything(), fc.anything(), (subject, text) => {
        const read = readMessage({ subject, text } as Record<string, string>);
        expect('form' in read || Object.keys(read.faults).length > 0).toBe(true);
      }),
    );
  });
});
