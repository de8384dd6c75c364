import type { Tx } from '../db/open.js';
import { handbookProgress } from '../handbook/store.js';
import { quizPassedAt } from '../quiz/store.js';
import type { Moment } from '../waivers/store.js';
import { lastAgreement } from './agreement-store.js';
import { holdsFor } from './renewal.js';
import type { Progress } from './steps.js';

/** Where someone stands on their way to leading. A fixed number of queries. */
export function progressOf(
  q: Tx,
  { now, settings }: Moment,
  person: { id: number; email: string },
  application: { state: string } | undefined,
): Progress {
  return {
    applied: application?.state === 'open',
    handbook: handbookProgress(q, person.id),
    quizPassedAt: quizPassedAt(q, person.id),
    agreed: holdsFor(lastAgreement(q, person.email)?.signedAt ?? null, now, settings.agreementMonths),
  };
}
