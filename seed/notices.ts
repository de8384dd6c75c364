import type { Tx } from '../server/db/open.js';
import { signedWith } from '../server/notices/compose.js';
import type { WalkContent } from '../server/notices/content.js';
import { differences } from '../server/notices/difference.js';
import type { GroupSettings } from '../server/settings/rules.js';
import { finishTimes } from '../server/walks/finish.js';
import { walkTitle } from '../server/walks/title.js';
import { AREAS } from './areas.js';
import type { DemoLeader } from './leaders.js';
import type { LaidSignUp, rowWriter } from './rows.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const CONFIRMATIONS_MS = 3 * DAY_MS;

/** What laying mail needs of the region. */
export interface Telling {
  tx: Tx;
  now: number;
  settings: GroupSettings;
  leaders: DemoLeader[];
  write: ReturnType<typeof rowWriter>;
}

/** The mail a sign-up has caused: what its walk's change or cancellation owed, and its own confirmation while that is news. */
export function layNotices(signUpId: number, laid: LaidSignUp, telling: Telling): void {
  if (laid.state === 'withdrawn') return;
  const { tx, settings, write, now } = telling;
  const { walk } = laid;
  const content = contentOf(signUpId, laid, telling);
  const change = walk.versions.find((version) => version.kind === 'edited');
  const version = walk.versions.length;
  if (walk.cancelled) {
    write.keptNotice(
      { kind: 'cancellation', event: `cancellation:${walk.id}:${version}:${signUpId}`, at: walk.cancelled.at },
      laid,
      content,
    );
  } else if (change && laid.createdAt < change.at) {
    const difference = differences(walk.versions[0].facts, walk.facts, 'always', settings);
    const notice = { kind: 'change', event: `change:${signUpId}:${version}`, at: change.at + settings.noticeHoldMs } as const;
    write.keptNotice(notice, laid, { ...content, differences: difference });
  } else if (laid.createdAt > now - CONFIRMATIONS_MS && walk.state === 'posted') {
    const kind = laid.state === 'waiting' ? 'waiting' : 'confirmation';
    write.keptNotice({ kind, event: `confirmation:${signUpId}`, at: laid.createdAt }, laid, {
      ...content,
      waivers: signedWith(tx, signUpId),
    });
  }
}

/** What mail about a walk says to one sign-up. */
export function contentOf(signUpId: number, laid: LaidSignUp, { settings, leaders }: Pick<Telling, 'settings' | 'leaders'>): WalkContent {
  const { walk } = laid;
  const leader = leaders.find((one) => one.id === walk.leaderId);
  return {
    facts: walk.facts,
    version: walk.versions.length,
    walkId: walk.id,
    uid: walk.uid,
    sequence: walk.sequence,
    title: walkTitle(walk.facts, settings.units),
    areaName: AREAS.find((area) => area.id === walk.facts.areaId)?.name ?? '',
    finish: finishTimes(walk.facts, settings),
    leader: { name: leader?.name ?? '', phone: leader?.phone ?? null },
    ...(walk.cancelled ? { cancelled: { kind: walk.cancelled.kind, reason: walk.cancelled.reason } } : {}),
    signUp: { id: signUpId, state: laid.state, party: laid.party.map((one) => one.name) },
  };
}
