import { monthlySubject } from '../commitment/monthly-model.js';
import { askSubject } from '../proposals/mail-words.js';
import type { GroupSettings } from '../settings/rules.js';
import { togetherSubject } from '../together/words.js';
import type { Difference, NoticeContent, NoticeKind, WalkContent } from './content.js';
import { wallWhen } from './difference.js';
import { LEADER } from './leader-difference.js';
import type { NoticeState } from './store.js';

/** What Waymeet knows of a kind of notice. A new kind needs its line here and two templates in views/mail/. */
export interface Kind {
  /** For lists on screens. */
  label: string;
  /** The subject; `walk` is there for every kind about one. */
  subject: (walk: WalkContent | null, settings: Pick<GroupSettings, 'groupName' | 'locale'>, content: NoticeContent) => string;
  /** What it does to the walk in the walker's calendar. */
  calendar: 'REQUEST' | 'CANCEL' | null;
  /** It tells when and where, so it is kept up to date while it waits. */
  carriesFacts: boolean;
  /** It is read for when and where: once sent, the walker is known to have been told. Others count only where nothing came before. */
  announces: boolean;
  /** It waits its turn behind older notices of the same sign-up. */
  inTurn: boolean;
  /** It goes to many at once, and no one waits for it: mail to people who are waiting goes before it. */
  bulk?: true;
}

/** What a reminder says that does not know its day. */
export const COMING_UP = 'coming up';

const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
const title = (walk: WalkContent | null) => walk?.title ?? '';

/** Mail that tells nobody when or where, and need not wait for mail that does. */
const NO_NEWS = { calendar: null, carriesFacts: false, announces: false, inTurn: false } as const;

/** Mail about leading walks brings its own subject with it. */
const ABOUT_LEADING = { subject: () => 'About leading walks', ...NO_NEWS } as const;

export const KINDS: Record<NoticeKind, Kind> = {
  confirmation: {
    label: 'Confirmation',
    subject: (walk) => `You're coming: ${title(walk)}`,
    calendar: 'REQUEST',
    carriesFacts: true,
    announces: true,
    inTurn: true,
  },
  waiting: {
    label: 'Waiting list',
    subject: (walk) => `Waiting list: ${title(walk)}`,
    calendar: null,
    carriesFacts: true,
    announces: true,
    inTurn: true,
  },
  change: {
    label: 'Change',
    subject: (walk) => `${changed(walk)}: ${title(walk)}`,
    calendar: 'REQUEST',
    carriesFacts: true,
    announces: true,
    inTurn: true,
  },
  cancellation: {
    label: 'Cancellation',
    subject: (walk) => `Cancelled: ${title(walk)}`,
    calendar: 'CANCEL',
    carriesFacts: false,
    announces: false,
    inTurn: true,
  },
  'place-freed': {
    label: 'Place freed',
    subject: (walk) => `You have a place: ${title(walk)}`,
    calendar: 'REQUEST',
    carriesFacts: true,
    announces: false,
    inTurn: true,
  },
  withdrawal: {
    label: 'Withdrawal',
    subject: (walk) => `Withdrawn: ${title(walk)}`,
    calendar: 'CANCEL',
    carriesFacts: false,
    announces: false,
    inTurn: true,
  },
  reminder: {
    label: 'Reminder',
    subject: (walk) => `${capital(walk?.day ?? COMING_UP)}: ${title(walk)}`,
    calendar: null,
    carriesFacts: true,
    announces: false,
    inTurn: true,
  },
  message: {
    label: 'Message',
    subject: written,
    calendar: null,
    carriesFacts: false,
    announces: false,
    inTurn: true,
  },
  'message-copy': { label: 'Test copy', subject: (walk) => `Test copy: ${written(walk)}`, ...NO_NEWS },
  'to-sign': {
    label: 'Waiver to sign',
    subject: (walk) => `Please sign: ${walk?.toSign?.bookedBy ?? 'a friend'} signed you up for a ${title(walk)}`,
    ...NO_NEWS,
  },
  'waiver-copy': { label: 'Copy of a waiver', subject: (walk) => `What you signed: ${title(walk)}`, ...NO_NEWS },
  left: { label: 'Party', subject: (walk) => `Not coming: ${walk?.left?.join(', ') ?? ''}, ${title(walk)}`, ...NO_NEWS },
  'member-news': { label: 'To someone in a party', subject: (walk) => `${memberNews(walk)}: ${title(walk)}`, ...NO_NEWS },
  'new-leader': {
    label: 'New leader',
    subject: (walk) => `New leader: ${title(walk)}`,
    // The entry in the walker's calendar names the leader and their number.
    calendar: 'REQUEST',
    carriesFacts: false,
    announces: false,
    inTurn: true,
  },
  offer: { label: 'Offer to a leader', subject: betweenLeaders, ...NO_NEWS },
  'offer-answer': { label: 'Answer to an offer', subject: betweenLeaders, ...NO_NEWS },
  leading: { label: 'Who leads', subject: betweenLeaders, ...NO_NEWS },
  ask: { label: 'Walks asked for', subject: (_walk, _settings, content) => ('ask' in content ? askSubject(content.ask) : ''), ...NO_NEWS },
  link: {
    label: 'Private link',
    subject: (walk) => `Your link: ${title(walk)}`,
    ...NO_NEWS,
  },
  commitment: {
    label: 'Monthly mail to a leader',
    subject: (_, { locale }, content) => ('commitment' in content ? monthlySubject(content.commitment, locale) : ''),
    bulk: true,
    ...NO_NEWS,
  },
  application: { label: 'Application', ...ABOUT_LEADING },
  'application-news': { label: 'To an applicant', ...ABOUT_LEADING },
  'agreement-copy': { label: 'Copy of an agreement', ...ABOUT_LEADING },
  'agreement-due': { label: 'Agreement due', ...ABOUT_LEADING },
  'leader-left': { label: 'A leader stops', ...ABOUT_LEADING },
  incident: { label: 'Incident', subject: () => 'An incident was recorded', ...NO_NEWS },
  'signed-copy': { label: 'Copy of a waiver', subject: () => 'What you signed', ...NO_NEWS },
  thanks: {
    label: 'Thanks',
    subject: (_, __, content) => ('thanks' in content ? `Thank you for walking: ${content.thanks.title}` : ''),
    bulk: true,
    ...NO_NEWS,
  },
  'not-closed': {
    label: 'Walk not closed',
    subject: (_, __, content) => ('notClosed' in content ? `Not closed yet: ${content.notClosed.title}` : ''),
    bulk: true,
    ...NO_NEWS,
  },
  'sign-in': {
    label: 'Sign-in',
    subject: (_, { groupName }) => `Sign in to ${groupName}`,
    ...NO_NEWS,
  },
  test: {
    label: 'Test',
    subject: (_, { groupName }) => `Test mail from ${groupName}`,
    ...NO_NEWS,
  },
};

function written(walk: WalkContent | null): string {
  return `${walk?.message?.subject ?? 'Message'}: ${title(walk)}`;
}

function betweenLeaders(_walk: WalkContent | null, _settings: unknown, content: NoticeContent): string {
  return 'together' in content ? togetherSubject(content.together) : '';
}

function memberNews(walk: WalkContent | null): string {
  if (walk?.member?.news === 'changed') return changed(walk);
  return walk?.member?.news === 'cancelled' ? 'Cancelled' : 'Not signed up any more';
}

/** What changed, in the two or three words that are read on a locked phone. */
function changed(walk: WalkContent | null): string {
  return changedWords(walk?.differences ?? []);
}

function changedWords(differences: Difference[]): string {
  const labels = differences.map((difference) => difference.label);
  const timed = labels.some((label) => ['Gather', 'Set off', 'Time zone'].includes(label));
  const placed = labels.some((label) => ['Meeting point', 'Landmark', 'Map point'].includes(label));
  if (timed && placed) return 'New time and place';
  if (timed) return 'New time';
  if (labels.includes(LEADER)) return 'New leader';
  return placed ? 'New meeting point' : 'Changed';
}

/** The subject of a mail about several walks: what happened, to how many, and from when on. @param walks soonest first */
export function lotSubject(kind: NoticeKind, walks: WalkContent[], settings: Pick<GroupSettings, 'locale' | 'clock'>): string {
  const what = kind === 'cancellation' ? 'Cancelled' : changedWords(walks.flatMap((walk) => walk.differences ?? []));
  const facts = walks[0]?.facts;
  const from = facts ? wallWhen(facts, facts.gather, facts.gatherAt, settings).date : '';
  const routes = new Set(walks.map((walk) => walk.facts.routeName));
  const route = routes.size === 1 ? facts?.routeName : '';
  return route ? `${what}: ${route}, ${walks.length} walks from ${from}` : `${what}: ${walks.length} walks, from ${from}`;
}

/** Whether this very mail changes the walker's calendar: those who only wait have no entry. */
export function calendarMethod(kind: NoticeKind, walk: WalkContent): 'REQUEST' | 'CANCEL' | null {
  const { calendar } = KINDS[kind];
  return calendar === 'REQUEST' && walk.signUp.state !== 'confirmed' ? null : calendar;
}

/** Each state as a word; failed and unsure ones stand out by more than colour. */
export const STATE_WORDS: Record<NoticeState, string> = {
  pending: 'waiting to go',
  sending: 'on its way',
  sent: 'delivered',
  failed: 'failed',
  replaced: 'overtaken by later news',
  kept: 'kept here',
};
