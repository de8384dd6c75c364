import { KEPT_FOR_MS } from '../contacts/kept.js';
import { CLOSED_AT_LATEST_MS } from '../contacts/window.js';
import { OLD_COPIES_MS } from '../db/folder.js';
import { KEPT_MS as LINKS_KEPT_MS } from '../people/link-store.js';
import { SESSION_MS } from '../people/sessions.js';
import type { GroupSettings } from '../settings/rules.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;

/*
 * How long things are kept. Common practice, no source; the group's local law comes first.
 */
const TRACES_KEPT_DAYS = 30;
const NOTICES_KEPT_DAYS = 180;
const OFFERS_KEPT_DAYS = 180;
const ASKS_KEPT_DAYS = 180;
const SIGN_UPS_KEPT_MONTHS = 24;
const INCIDENTS_KEPT_MONTHS = 36;
const MESSAGES_KEPT_MONTHS = 24;
const HAZARDS_KEPT_MONTHS = 24;
const PEOPLE_KEPT_MONTHS = 24;
const AUDIT_KEPT_MONTHS = 36;
const QUIZ_KEPT_MONTHS = 24;
const APPLICATIONS_KEPT_MONTHS = 12;

/** Calendar months where it is long, days where it is short. */
export type Period = { days: number } | { months: number };

/** One kind of thing that is kept, in the words of the page, with the time after which the daily job forgets it. */
export interface Kept {
  what: string;
  /** Why it is kept. */
  why: string;
  /** Who sees it, besides the person themself. */
  who: string;
  period: Period;
  /** From when the period counts: "after the walk". */
  since: string;
  /** What forgetting means: "removed". */
  end: string;
}

export type KeptKind = keyof ReturnType<typeof timetable>;

/** The one timetable: the page shows it, and the job runs by it. Pure. */
export function timetable(settings: Pick<GroupSettings, 'contactsKeptDays'>) {
  return {
    contacts: {
      what: 'Emergency contacts',
      why: 'To phone somebody if you are hurt',
      who: 'The leaders of that walk, around the walk only; a coordinator after an accident',
      period: { days: settings.contactsKeptDays },
      since: 'after the walk, or after it is cancelled',
      end: 'removed. While something that happened to you is followed up, once that is done',
    },
    keptContacts: {
      what: 'Emergency contacts kept for your next sign-up',
      why: 'So that you need not type them again; only if you asked for it',
      who: 'Nobody else',
      period: { days: KEPT_FOR_MS / DAY_MS },
      since: 'after you last used them',
      end: 'removed',
    },
    signUps: {
      what: 'Sign-ups, and who turned up on the day: names, e-mail address, phone; whether you came, and how far you walked',
      why: 'So that the leader knows who is coming, and can reach you',
      who: 'The leaders of that walk, the coordinators',
      period: { months: SIGN_UPS_KEPT_MONTHS },
      since: 'after the walk',
      end: 'emptied; only the number of people stays. While something that happened on it is followed up, once that is done',
    },
    incidents: {
      what: 'What happened on a walk: an accident, somebody unwell, somebody missing',
      why: 'To follow it up, and to answer for it afterwards',
      who: 'Whoever wrote it, around the walk; the coordinators. It is sealed, and each reading is written down',
      period: { months: INCIDENTS_KEPT_MONTHS },
      since: 'after it was closed',
      end: 'removed',
    },
    rolls: {
      what: 'The roll of a walk: who arrived, set off, left early and how they got home, finished',
      why: 'So that nobody is left behind, and for what is asked afterwards',
      who: 'The leaders of that walk, the coordinators',
      period: { months: SIGN_UPS_KEPT_MONTHS },
      since: 'after the walk',
      end: 'removed',
    },
    applications: {
      what: 'An application to lead walks that led to nothing',
      why: 'So that a coordinator knows what was said before',
      who: 'The coordinators',
      period: { months: APPLICATIONS_KEPT_MONTHS },
      since: 'after it was declined or withdrawn',
      end: 'removed',
    },
    traces: {
      what: 'From where a waiver or an agreement was signed: network address and browser',
      why: 'To tell a false signature from a real one',
      who: 'Whoever runs this service',
      period: { days: TRACES_KEPT_DAYS },
      since: 'after signing',
      end: 'removed',
    },
    notices: {
      what: 'Mails sent to you',
      why: 'To see that news of a walk has arrived',
      who: 'The coordinators; of a walk, its leaders',
      period: { days: NOTICES_KEPT_DAYS },
      since: 'after they were made, and never before their walk',
      end: 'removed',
    },
    messages: {
      what: 'What leaders wrote to everyone on a walk',
      why: 'So that the next one to write knows what was said',
      who: 'The leaders of that walk, the coordinators',
      period: { months: MESSAGES_KEPT_MONTHS },
      since: 'after the walk',
      end: 'removed',
    },
    hazards: {
      what: 'What a leader noted as in the way on a route',
      why: 'So that whoever leads there next knows',
      who: 'The leaders',
      period: { months: HAZARDS_KEPT_MONTHS },
      since: 'after it was noted',
      end: 'removed',
    },
    offers: {
      what: 'What leaders ask each other about a walk: to share it or to lead it, with a note and the answer',
      why: 'So that each walk has a leader',
      who: 'The leaders of that walk, the coordinators; the note and the answer, the two concerned',
      period: { days: OFFERS_KEPT_DAYS },
      since: 'after the walk',
      end: 'removed',
    },
    asks: {
      what: 'Walks a leader is asked to lead, and the answer',
      why: 'So that areas have the walks they need, and nobody is asked again who said not this time',
      who: 'The coordinators',
      period: { days: ASKS_KEPT_DAYS },
      since: 'after the last day that was asked for',
      end: 'removed',
    },
    sessions: {
      what: 'Where you are signed in',
      why: 'To keep you signed in',
      who: 'Nobody else',
      period: { days: SESSION_MS / DAY_MS },
      since: 'after your last visit',
      end: 'removed',
    },
    links: {
      what: 'Sign-in mails you asked for',
      why: 'To sign you in without a password',
      who: 'Nobody else',
      period: { days: LINKS_KEPT_MS / DAY_MS },
      since: 'after they expired',
      end: 'removed',
    },
    people: {
      what: 'Your account: name, e-mail address, phone',
      why: 'To show you your own walks; the phone of a leader, so that walkers can ring',
      who: 'The coordinators; of a leader, the walkers signed up',
      period: { months: PEOPLE_KEPT_MONTHS },
      since: 'without a role, a sign-up or a signed-in browser',
      end: 'erased. Someone shut out by the coordinators stays, or they could come in anew',
    },
    quiz: {
      what: 'Handbook pages you marked as read, and your attempts at the quiz for leaders',
      why: 'To show how far you are on the way to leading walks',
      who: 'The coordinators see whether you passed, and how often each question is answered wrong',
      period: { months: QUIZ_KEPT_MONTHS },
      since: 'after you began the attempt or marked the page',
      end: 'removed. Those of leaders stay as long as their account',
    },
    audit: {
      what: 'Who did what: roles given, emergency details opened',
      why: 'To answer for it afterwards',
      who: 'Whoever runs this service; who opened your details, you',
      period: { months: AUDIT_KEPT_MONTHS },
      since: 'after it was done',
      end: 'removed',
    },
    copies: {
      what: 'Copies of all this, made before the program is brought up to date or a backup is put back',
      why: 'To go back if that fails',
      who: 'Whoever runs this service',
      period: { days: OLD_COPIES_MS / DAY_MS },
      since: 'after they were made',
      end: 'removed',
    },
  } satisfies Record<string, Kept>;
}

/** The last instant (ms) that is old enough to be forgotten now: what counts from then or earlier goes. Pure. */
export function cutoff(period: Period, now: number): number {
  if ('days' in period) return now - period.days * DAY_MS;
  const at = new Date(now);
  const day = at.getUTCDate();
  at.setUTCDate(1);
  at.setUTCMonth(at.getUTCMonth() - period.months);
  // A month before March 31 is the end of February, not March 3.
  const lastDay = new Date(Date.UTC(at.getUTCFullYear(), at.getUTCMonth() + 1, 0)).getUTCDate();
  at.setUTCDate(Math.min(day, lastDay));
  return at.getTime();
}

/** "30 days", "2 years": a period in words. Pure. */
export function periodWords(period: Period): string {
  if ('days' in period) return period.days === 365 ? 'a year' : counted(period.days, 'day');
  return period.months % 12 === 0 ? counted(period.months / 12, 'year') : counted(period.months, 'month');
}

function counted(count: number, unit: string): string {
  return `${count} ${unit}${count === 1 ? '' : 's'}`;
}

/** A walk's instants, ms, as far as keeping goes. */
interface KeptWalk {
  gatherAt: number;
  closedAt: number | null;
  cancelledAt: number | null;
}

/** When a walk is over, as far as keeping goes, ms: a cancelled one as soon as it is cancelled. Pure. */
export function overAt({ gatherAt, closedAt, cancelledAt }: KeptWalk): number {
  return Math.min(closedAt ?? gatherAt + CLOSED_AT_LATEST_MS, cancelledAt ?? Number.POSITIVE_INFINITY);
}

/** When a walk's emergency contacts are removed, ms. Pure. */
export function contactsGoAt(walk: KeptWalk, settings: Pick<GroupSettings, 'contactsKeptDays'>): number {
  return overAt(walk) + settings.contactsKeptDays * DAY_MS;
}
