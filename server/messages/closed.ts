import { Problem } from '../web/errors.js';
import type { Closed } from './moment.js';

const WHY: Record<Closed, { heading: string; sentence: string }> = {
  draft: { heading: 'This walk is not posted yet', sentence: 'Nobody can have signed up for it.' },
  cancelled: { heading: 'This walk is cancelled', sentence: 'Everyone who had signed up was told so.' },
  'long ago': { heading: 'This walk is too long ago', sentence: 'Messages go out until 14 days after a walk.' },
};

/** Says why nobody on a walk can be written to. */
export function tooLate(walkId: number, why: Closed): Problem {
  return new Problem(409, { ...WHY[why], links: [{ href: `/lead/walks/${walkId}`, label: 'Back to the walk' }] });
}
