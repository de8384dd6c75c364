import { lengthWords } from '../calc/measure.js';
import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';
import { lastAgreement } from './agreement-store.js';
import { progressOf } from './progress.js';
import { stepMarks } from './step-rows.js';
import { missing, type Progress, STEP_NAMES, type StepKey } from './steps.js';
import { applicantOf, type FoundApplication, waitingApplications } from './store.js';
import { dayNames, listed } from './weekdays.js';

interface Around {
  now: number;
  settings: GroupSettings;
  /** Of the group. */
  zone: string;
}

const STATES = { open: 'open', approved: 'approved', declined: 'declined', withdrawn: 'withdrawn by the applicant' };

/** An application in a list: who, where, how far, since when. Pure. */
export function applicationLine({ application, areaName }: FoundApplication, progress: Progress, { settings, zone }: Around) {
  const left = missing(progress);
  return {
    href: `/coordinate/applications/${application.id}`,
    name: application.name,
    areaName,
    steps: stepMarks(progress),
    isReady: left.length === 0,
    isAsked: application.askedAt !== null && application.answeredAt === null,
    since: when(application.createdAt, zone, settings),
  };
}

/** One that is decided. */
export function decidedLine({ application, areaName }: FoundApplication, { settings, zone }: Omit<Around, 'now'>) {
  const { id, name, state, decidedAt } = application;
  return {
    href: `/coordinate/applications/${id}`,
    name,
    areaName,
    state: STATES[state],
    at: decidedAt === null ? null : when(decidedAt, zone, settings),
  };
}

/** All an applicant said, and where they stand. @param areaNames of the other areas they named */
export function applicationModel(q: Tx, found: FoundApplication, areaNames: string[], around: Around) {
  const { application, email } = found;
  const { now, settings, zone } = around;
  const progress = progressOf(q, { now, settings }, applicantOf(found));
  const signed = lastAgreement(q, email);
  const left = application.state === 'open' ? missing(progress) : [];
  const at = (ms: number | null) => (ms === null ? null : when(ms, zone, settings));
  return {
    id: application.id,
    name: application.name,
    phone: application.phone,
    email,
    why: application.why,
    facts: [
      { label: 'Area', value: found.areaName },
      { label: 'Would also lead in', value: listed(areaNames) || 'nowhere else' },
      { label: 'Days', value: dayNames(application.days) },
      { label: 'Longest walk', value: lengthWords(application.longestMetres, settings.units) },
    ],
    applied: at(application.createdAt),
    changed: application.changedAt > application.createdAt ? at(application.changedAt) : null,
    question: application.question,
    asked: at(application.askedAt),
    answer: application.answer,
    answered: at(application.answeredAt),
    words: application.words,
    isOpen: application.state === 'open',
    state: STATES[application.state],
    leaderHref: application.state === 'approved' ? `/coordinate/leaders/${application.personId}` : null,
    decided: at(application.decidedAt),
    steps: stepMarks(progress),
    signed: signed ? { name: signed.signerName, at: at(signed.signedAt) } : null,
    missing: missingWords(left),
    although: `Approve although ${missingWords(left)} ${left.length === 1 ? 'is' : 'are'} missing`,
    isReady: application.state === 'open' && left.length === 0,
  };
}

/** "2 applications waiting"; empty where none does. */
export function waitingWords(q: Tx): string {
  const count = waitingApplications(q);
  if (count === 0) return '';
  return count === 1 ? '1 application waiting' : `${count} applications waiting`;
}

/** "the quiz and the agreement"; empty where nothing is missing. Pure. */
export function missingWords(left: StepKey[]): string {
  return listed(left.map((key) => `the ${STEP_NAMES[key]}`));
}
