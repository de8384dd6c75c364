import { lengthWords } from '../calc/measure.js';
import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import { leadersOf } from '../walks/store.js';
import { isolated } from '../web/isolated.js';
import { when } from '../web/when.js';
import type { NotClosedContent } from './not-closed.js';
import type { ThanksContent } from './thanks.js';
import { namesOf, stillToCome } from './thanks-store.js';

/** What the templates of thanks show. One alone is told their miles; of several, each is named. */
export function thanksModel(
  q: Tx,
  { walkId, title, people, next }: ThanksContent,
  settings: GroupSettings,
  { baseUrl, now }: { baseUrl: string; now: number },
) {
  const names = namesOf(
    q,
    walkId,
    people.map(({ who }) => who),
  );
  const coming = stillToCome(
    q,
    next.map((one) => one.walkId),
    now,
  );
  const walked = people.map(({ who, metres }) => ({ name: isolated(names.get(who) ?? ''), length: lengthWords(metres, settings.units) }));
  return {
    title,
    alone: walked.length === 1 ? walked[0] : null,
    walked: walked.length > 1 ? walked : null,
    next: next
      .filter((one) => coming.has(one.walkId))
      .map((one) => ({ title: one.title, gather: when(one.gatherAt, one.zone, settings), link: `${baseUrl}/walks/${one.walkId}` })),
    logLink: `${baseUrl}/me/log`,
  };
}

/** What the templates of the mail about a walk that nobody closed show: who leads it as it stands now. */
export function notClosedModel(q: Tx, { walkId, title, setOffAt, zone, to }: NotClosedContent, settings: GroupSettings, baseUrl: string) {
  const [leader] = leadersOf(q, walkId);
  return {
    title,
    setOff: when(setOffAt, zone, settings),
    toLeader: to === 'leader',
    leader: leader ? { name: isolated(leader.name), phone: leader.phone } : null,
    closeLink: `${baseUrl}/lead/walks/${walkId}/close`,
  };
}
