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

const pieces: Buffer[] = [];
for await (const piece of process.stdin) pieces.push(piece as Buffer);
process.send?.(reading(Buffer.concat(pieces)));
// Whoever started it is gone, or has what it wanted.
process.once('disconnect', () => process.exit());
