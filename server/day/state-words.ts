import type { Standing } from './ledger.js';

/** How someone stands on the roll, after their name. */
export const STATE_WORDS: Record<Standing['state'], string> = {
  expected: 'not heard of',
  'not walking': 'did not come',
  arrived: 'arrived, and not seen since',
  'set off': 'set off, and not seen since',
  stop: 'last seen at a stop',
  left: 'left early',
  finished: 'finished',
  disputed: 'two phones say different things',
};
