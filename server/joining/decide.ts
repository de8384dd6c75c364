import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { approveLeader } from '../leaders/store.js';
import type { OweContext } from '../notices/compose.js';
import { saveAbout } from './about-store.js';
import { lastAgreement } from './agreement-store.js';
import { APPROVED_ALTHOUGH } from './erase.js';
import { approvedLetter, askedLetter, declinedLetter } from './letters.js';
import { oweLetter } from './owe.js';
import { progressOf } from './progress.js';
import { GRACE_MS, monthsLater } from './renewal.js';
import { missing, type StepKey } from './steps.js';
import { applicantOf, applicationById, changeOpen, type FoundApplication } from './store.js';

/** A coordinator's yes. */
export interface Approval {
  /** Walks a month. */
  pledge: number;
  /** From when they are promised, YYYY-MM. */
  month: string;
  /** Approved although steps are missing, and why; null where that was not said. */
  although: string | null;
}

/** What came of a decision: `gone` where somebody decided before, `missing` where steps are, and nothing was said of it. */
export type Decided = 'done' | 'gone' | { missing: StepKey[] };

/**
 * Makes an applicant a leader with what they applied with, and owes them the news, in the transaction it is given. Steps may be missing
 * only where that is said with a reason, which the log keeps.
 */
export function approve(tx: Tx, context: OweContext, id: number, by: number, { pledge, month, although }: Approval): Decided {
  const found = openOne(tx, id);
  if (!found) return 'gone';
  const { application, email } = found;
  const { personId, name, phone, areaId } = application;
  const progress = progressOf(tx, context, applicantOf(found));
  const left = missing(progress);
  if (left.length > 0 && although === null) return { missing: left };
  const { now, settings } = context;
  changeOpen(tx, id, { state: 'approved', decidedAt: now, decidedBy: by });
  // One that is in another name is nobody's here: they have thirty days to sign, as whoever never signed.
  const signedAt = progress.otherName === null ? lastAgreement(tx, email)?.signedAt : undefined;
  const agreementDueAt = Math.max(signedAt === undefined ? 0 : monthsLater(signedAt, settings.agreementMonths), now + GRACE_MS);
  approveLeader(tx, { name, email, phone, areaId, pledge, month, agreementDueAt }, by, now);
  const { days, longestMetres, otherAreas } = application;
  saveAbout(tx, personId, { areaId, days, longestMetres, otherAreas });
  if (left.length > 0)
    writeDown(tx, {
      at: now,
      personId: by,
      action: APPROVED_ALTHOUGH,
      subject: `person:${personId}`,
      detail: { missing: left, reason: although },
    });
  news(tx, context, found, 'approved', approvedLetter(personId, !progress.agreed));
  return 'done';
}

/** Asks an applicant something, and owes them the mail; the same question again changes nothing. */
export function ask(tx: Tx, context: OweContext, id: number, question: string): Decided {
  const found = openOne(tx, id);
  if (!found) return 'gone';
  const { application } = found;
  if (application.question === question && application.answeredAt === null) return 'done';
  changeOpen(tx, id, { question, askedAt: context.now, answer: '', answeredAt: null });
  news(tx, context, found, `asked:${context.now}`, askedLetter(application.personId, question));
  return 'done';
}

/** Declines an application in a coordinator's own words, and owes the applicant the mail. */
export function decline(tx: Tx, context: OweContext, id: number, by: number, words: string): Decided {
  const found = openOne(tx, id);
  if (!found) return 'gone';
  const { personId } = found.application;
  changeOpen(tx, id, { state: 'declined', words, decidedAt: context.now, decidedBy: by });
  writeDown(tx, { at: context.now, personId: by, action: 'declined an application to lead', subject: `person:${personId}` });
  news(tx, context, found, 'declined', declinedLetter(personId, words));
  return 'done';
}

function openOne(tx: Tx, id: number): FoundApplication | undefined {
  const found = applicationById(tx, id);
  return found?.application.state === 'open' ? found : undefined;
}

function news(
  tx: Tx,
  context: OweContext,
  { application, email }: FoundApplication,
  what: string,
  letter: ReturnType<typeof approvedLetter>,
): void {
  oweLetter(tx, context, {
    kind: 'application-news',
    event: `application-news:${application.id}:${what}`,
    letter,
    to: { name: application.name, email },
  });
}
