import type { MonthlyContent } from '../commitment/monthly.js';
import type { NotClosedContent } from '../day/not-closed.js';
import type { ThanksContent } from '../day/thanks.js';
import type { AskContent } from '../proposals/content.js';
import type { TogetherContent } from '../together/content.js';
import type { WalkFacts } from '../walks/facts.js';
import type { TypedForecast } from '../weather/model.js';

/** The kinds of mail Waymeet owes. Each has its line in kinds.ts and its two templates in views/mail/. */
export const NOTICE_KINDS = [
  'confirmation',
  'waiting',
  'change',
  'cancellation',
  'place-freed',
  'withdrawal',
  'reminder',
  'message',
  'message-copy',
  'to-sign',
  'waiver-copy',
  'left',
  'member-news',
  'new-leader',
  'offer',
  'offer-answer',
  'leading',
  'ask',
  'link',
  'commitment',
  'application',
  'application-news',
  'agreement-copy',
  'agreement-due',
  'leader-left',
  'incident',
  'signed-copy',
  'thanks',
  'not-closed',
  'sign-in',
  'test',
] as const;
export type NoticeKind = (typeof NOTICE_KINDS)[number];

/** One thing that changed, in words: frozen when the notice is owed. */
export interface Difference {
  label: string;
  before: string;
  after: string;
  /** Of who leads: who that is, by number. Not in notices older than the fields. */
  beforeId?: number;
  afterId?: number;
}

/** One signature given with a sign-up; the text it is for is found by `textId`, which never changes. */
export interface SignedWaiver {
  /** On paper, or typed on a page. Not in notices older than the field. */
  how?: 'page' | 'paper' | 'file';
  forName: string;
  signedAs: 'self' | 'guardian' | 'leader';
  signerName: string;
  signature: string;
  /** What the chain of signatures has for it. Not in notices older than the chain. */
  hash?: string;
  signedAt: number;
  textId: number;
  version: number;
  sha256: string;
}

/** The half of a notice that is the same for everyone on a walk. */
export interface WalkPart {
  /** The walk's facts at `version`, frozen. */
  facts: WalkFacts;
  version: number;
  /** When this was last put into words, ms. Not in notices older than the field. */
  writtenAt?: number;
  walkId: number;
  uid: string;
  sequence: number;
  title: string;
  areaName: string;
  /** The area's own: "911". Not in notices older than the field. */
  emergencyNumber?: string;
  /** When the fastest and the slowest should be back, ms. */
  finish: { fastest: number; slowest: number };
  /** The number is not in notices older than the field. */
  leader: { id?: number; name: string; phone: string | null };
  cancelled?: { kind: 'safety' | 'other'; reason: string };
}

/** What someone writes to everyone on a walk. */
export interface WrittenMessage {
  subject: string;
  /** Lines as they were typed. */
  text: string;
  /** The writer's name. */
  from: string;
  /** The writer, whom an answer reaches. Not in messages older than the field. */
  byId?: number;
  /** When it was sent, ms: those it reaches later get the same one. */
  at: number;
}

/** Why an absent adult is written to. */
export type MemberNews = 'changed' | 'cancelled' | 'gone' | 'message';

/** What a notice about a walk says. No secrets: private links are put in as the mail is made. */
export interface WalkContent extends WalkPart {
  signUp: { id: number; state: 'confirmed' | 'waiting' | 'withdrawn'; party: string[] };
  /** change: what is different from what the walker was last told; new-leader: who led before, and who leads now */
  differences?: Difference[];
  /** change: the leader chose to tell what need not be told, too */
  offered?: boolean;
  /** reminder: "tomorrow, Sat, Dec 5", as it was when this was written */
  day?: string;
  /** reminder: the forecast for the walk's day, where one was typed in */
  weather?: TypedForecast;
  /** message, message-copy: what was written, and by whom */
  message?: WrittenMessage;
  /** reminder: who in the party has yet to sign */
  unsigned?: string[];
  /** to-sign: who is to sign, asked by whom, and for which minors, too */
  toSign?: { memberId: number; email: string; bookedBy: string; minors: string[] };
  /** member-news, message: to an absent adult; `since` is the version of the walk that a change starts from */
  member?: { memberId: number; email: string; bookedBy: string; news: MemberNews; since?: number };
  /** left: who is not coming any more */
  left?: string[];
  /** confirmation, waiting, waiver-copy: the signer's copy of what was signed */
  waivers?: SignedWaiver[];
}

/** What a sign-in mail says; the link and the code are worked out as the mail is made. */
export interface SignInContent {
  linkId: number;
  expiresAt: number;
}

/** What a mail about becoming, being or no longer being a leader says: server/joining/letters.ts. */
export interface JoiningContent {
  /** The number of the person it is about: erased with them. */
  about: number;
  subject: string;
  heading: string;
  lines: string[];
  /** Somebody's own words, as they were typed. */
  quote?: string;
  /** The number of a signature whose document stands below. */
  documentOf?: number;
  /** agreement-due: when it is due, ms, and whether that was to come as this was written. Not in notices older than the field. */
  due?: { at: number; toCome: boolean };
  /** A coordinator whom an answer reaches, by number. */
  answersTo?: number;
  /** An address on this site. */
  link: { href: string; label: string };
}

export type NoticeContent =
  | { walk: WalkContent }
  | { signIn: SignInContent }
  | { commitment: MonthlyContent }
  | { together: TogetherContent }
  | { joining: JoiningContent }
  | { thanks: ThanksContent }
  | { notClosed: NotClosedContent }
  | { ask: AskContent }
  | { test: { askedAt: number } };
