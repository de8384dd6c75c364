import { measure } from './measure.js';
import { readGpx } from './read.js';
import type { Reading } from './reader.js';
import { REFUSED } from './refusals.js';

/** Points may differ and yet be one place: at a pole, or by a centimetre. */
const SHORTEST_METRES = 1;

/** One file, then the process ends: whatever a file made grow goes with it. */
function reading(bytes: Uint8Array): Reading {
  const read = readGpx(bytes);
  if ('fault' in read) return read;
  const route = measure(read);
  return route.lengthMetres < SHORTEST_METRES ? { fault: REFUSED.tooFewPoints } : { route };
}

process.once('message', (bytes: Uint8Array) => {
  process.send?.(reading(bytes));
});
// Whoever started it is gone: nobody waits for the answer.
process.once('disconnect', () => process.exit());
