import type { NoticeKind } from './content.js';
import { KINDS } from './kinds.js';

/** A notice of one sign-up, as far as working out what is still owed needs it. */
export interface StandingNotice {
  id: number;
  kind: NoticeKind;
  state: 'pending' | 'sending' | 'failed';
  version: number | null;
  unsure: boolean;
}

export interface Standing {
  /** Nobody needs to come any more: the sign-up is withdrawn, or the walk cancelled or closed. */
  over: boolean;
  /** The walk's version. */
  version: number;
  /** The version the walker is known to have been told of. */
  toldVersion: number | null;
  /** The version in force when the walker signed up: what they read on the page. */
  signedUpVersion: number;
  /** Oldest first: those pending and in flight, and those that failed without an answer. */
  notices: StandingNotice[];
}

/** What to do with a sign-up's open notices so that, whatever is delivered, the walker ends up told once and rightly. */
export interface Plan {
  /** Pending notices that nobody needs any more. */
  replace: number[];
  /** Pending notices whose content must be the walk as it stands now; one that says so already stays as it is. */
  rewrite: number[];
  /** Pending change notices: all but the first are merged into it. */
  changes: number[];
  /**
   * The versions that the walker was told, or may have been: a change notice says what is different from these. Newest first. Empty
   * where a notice still to go will tell them everything anyway.
   */
  bases: number[];
}

/**
 * Pure. A pending notice that certainly never went out is brought up to date, so that stale mail never goes. What was delivered, is
 * in flight, or may have arrived can't be taken back: it is what the change notice starts from.
 */
export function planNotices(standing: Standing): Plan {
  const facts = standing.notices.filter((notice) => KINDS[notice.kind].carriesFacts);
  const waiting = facts.filter((notice) => notice.state === 'pending' && (standing.over || !notice.unsure));
  if (standing.over) return { replace: ids(waiting), rewrite: [], changes: [], bases: [] };
  const plain = waiting.filter((notice) => notice.kind !== 'change');
  return {
    replace: [],
    // A reminder tells of what no version of a walk has, too: which day it is, and the forecast.
    rewrite: ids(plain.filter((notice) => notice.version !== standing.version || notice.kind === 'reminder')),
    changes: ids(waiting.filter((notice) => notice.kind === 'change')),
    bases: bases(
      standing,
      facts,
      plain.some((notice) => notice.kind !== 'reminder'),
    ),
  };
}

function bases(standing: Standing, facts: StandingNotice[], willBeTold: boolean): number[] {
  const told = standing.toldVersion;
  const perhaps = facts
    .filter((notice) => notice.state === 'sending' || notice.unsure)
    .filter((notice) => KINDS[notice.kind].announces || told === null)
    .map((notice) => notice.version);
  const known = [told, ...perhaps].filter((version) => version !== null).filter((version) => told === null || version >= told);
  if (known.length === 0) return willBeTold ? [] : [standing.signedUpVersion];
  return [...new Set(known)].sort((a, b) => b - a);
}

function ids(notices: StandingNotice[]): number[] {
  return notices.map((notice) => notice.id);
}
