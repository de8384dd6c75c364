import { describe, expect, it } from 'vitest';
import { readPhone } from '../../server/web/phone.js';

const LONDON = { e164: '+442079460958' };

describe('a phone number', () => {
  it.each(['+44 20 7946 0958', '0044 20 7946 0958', '00 44 (20) 7946-0958', '011 44 20 7946 0958'])('from abroad: %s', (typed) => {
    expect(readPhone(typed, 'US')).toEqual(LONDON);
    expect(readPhone(typed, 'GB')).toEqual(LONDON);
  });

  it('from abroad that would be one of home, but for its 00', () => {
    expect(readPhone('0043 1 58801', 'US')).toEqual({ e164: '+43158801' });
  });

  it('at home keeps its leading noughts, where they are part of it', () => {
    expect(readPhone('020 7946 0958', 'GB')).toEqual(LONDON);
    // Johannesburg's own code is 011.
    expect(readPhone('011 234 5678', 'ZA')).toEqual({ e164: '+27112345678' });
  });

  it('that does not fit the country is told how to be of another', () => {
    const elsewhere = expect.stringMatching(/\. If it is from another country, begin with \+ and its code\.$/);
    for (const typed of ['20 7946 095', '20 7946 0958 20 7946 0958', '1 202 555 01234567', '1'])
      expect(readPhone(typed, 'US')).toEqual({ fault: elsewhere });
    for (const typed of ['00 0', '011', '']) expect(readPhone(typed, 'US')).toHaveProperty('fault');
    expect(readPhone('(202) 555-018', 'US')).toEqual({
      fault: 'This number has the wrong count of digits. Check it. If it is from another country, begin with + and its code.',
    });
    expect(readPhone('+1 202 555 018', 'US')).toEqual({ fault: 'This number has the wrong count of digits. Check it.' });
    expect(readPhone('call me', 'US')).toEqual({ fault: 'Type a phone number, such as (202) 555-0123.' });
  });
});
