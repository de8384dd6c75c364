import type { FastifyRequest } from 'fastify';
import type { Trace } from '../waivers/store.js';
import type { ShownTexts } from './shown-texts.js';

/** How a form came: what is kept with the signatures in it. */
export interface Given {
  /** What shows that the address is the signer's. */
  proof: 'none' | 'link' | 'signed in';
  trace?: Trace;
  /** The texts that were shown: what was agreed to and signed. Those in force where it is left out. */
  texts?: ShownTexts;
  /** The person, signed in with the sign-up's own address, who wants the emergency contacts kept for next time. */
  keepFor?: number;
}

/** A form of which nothing is known. */
export const UNKNOWN: Given = { proof: 'none' };

/** Where a request came from, as it is kept for a short time beside a signature. */
export function traceOf(request: FastifyRequest): Trace {
  return { address: request.ip, agent: request.headers['user-agent'] ?? '' };
}
