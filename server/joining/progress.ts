import type { Tx } from '../db/open.js';
import { type HandbookProgress, handbookProgressOf } from '../handbook/store.js';
import { quizPassedAtOf } from '../quiz/store.js';
import { isOwnName } from '../waivers/rules.js';
import type { Moment } from '../waivers/store.js';
import { type LastAgreement, lastAgreements } from './agreement-store.js';
import { holdsFor } from './renewal.js';
import type { Progress } from './steps.js';

/** Someone on their way to leading, with the application that says so. */
export interface Applicant {
  id: number;
  /** The address they sign in with. */
  email: string;
  application: { state: string; name: string } | undefined;
}

/** Where each of several people stands on their way to leading, in their order. Three queries, however many they are. */
export function progressOfAll(q: Tx, { now, settings }: Moment, applicants: Applicant[]): Progress[] {
  const ids = applicants.map(({ id }) => id);
  const handbook = handbookProgressOf(q, ids);
  const passed = quizPassedAtOf(q, ids);
  const signed = lastAgreements(
    q,
    applicants.map(({ email }) => email),
  );
  return applicants.map(({ id, email, application }) => {
    const last = signed.get(email);
    const otherName = signedOtherwise(last, application) ? (last?.signerName ?? null) : null;
    return {
      applied: application?.state === 'open',
      handbook: handbook.get(id) ?? NOTHING_READ,
      quizPassedAt: passed.get(id) ?? null,
      agreed: otherName === null && holdsFor(last?.signedAt ?? null, now, settings.agreementMonths),
      otherName,
    };
  });
}

const NOTHING_READ: HandbookProgress = { read: 0, of: 0, next: null };

/** The same of one. */
export function progressOf(q: Tx, moment: Moment, applicant: Applicant): Progress {
  const [progress] = progressOfAll(q, moment, [applicant]);
  if (!progress) throw new Error('nobody was asked about');
  return progress;
}

/** Whether an agreement was signed in another name than somebody applies with now: it is not theirs then. Pure. */
export function signedOtherwise(last: Pick<LastAgreement, 'signerName'> | undefined, application: Applicant['application']): boolean {
  return last !== undefined && application?.state === 'open' && !isOwnName(application.name, last.signerName);
}
