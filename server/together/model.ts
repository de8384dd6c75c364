import type { Tx } from '../db/open.js';
import type { Sealer } from '../db/seal.js';
import { isPostingOpen } from '../joining/renewal.js';
import type { GroupSettings } from '../settings/rules.js';
import { finishTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { shownDate } from '../walks/shown-date.js';
import { walkTitle } from '../walks/title.js';
import { walksAround } from '../walks/walks-around.js';
import { monthName, when } from '../web/when.js';
import { offerToken } from './link.js';
import { type Candidate, mayChangeLeaders } from './rules.js';
import { askedOf, openOffersOn, partsOf } from './store.js';

interface Ground {
  q: Tx;
  settings: GroupSettings;
  now: number;
}

/** "Leading together" on a walk's page: who leads it, who shares it, and who is asked. */
export function togetherPart({ q, now }: Pick<Ground, 'q' | 'now'>, walk: WalkRow) {
  const [leader, ...sharers] = partsOf(q, walk.id);
  const mayChange = mayChangeLeaders(walk, now);
  return {
    leader: leader && { name: leader.name, gone: !leader.approved },
    sharers: sharers.map(({ name, approved }) => ({ name, gone: !approved })),
    asked: mayChange ? openOffersOn(q, walk.id).map(({ offer, to }) => ({ name: to.name, lead: offer.kind === 'hand-over' })) : [],
    href: mayChange ? `/lead/walks/${walk.id}/together` : null,
  };
}

/** "Asked of you" on a leader's own page: what waits for an answer, each with its private address, which is theirs alone. */
export function askedPart({ q, settings, now, sealer }: Ground & { sealer: Sealer }, personId: number) {
  return askedOf(q, personId, now).map(({ offer, by, walk }) => ({
    href: `/offers/${offerToken(sealer, { id: offer.id, madeAt: offer.createdAt })}`,
    by,
    lead: offer.kind === 'hand-over',
    title: walkTitle(walk, settings.units),
    date: shownDate(walk.gatherAt, walk.zone, settings, now),
  }));
}

/** Walks that somebody leads or shares in hours that overlap a walk's. */
export function clashes({ q, settings }: Pick<Ground, 'q' | 'settings'>, walk: WalkRow, personId: number) {
  const { slowest } = finishTimes(walk, settings);
  return walksAround(q, [walk.gatherAt], { walkId: null, leaderId: personId })
    .filter((other) => other.sameLeader && other.walk.id !== walk.id)
    .filter(({ walk: other }) => other.gatherAt < slowest && walk.gatherAt < finishTimes(other, settings).slowest)
    .map(({ walk: other }) => ({
      title: walkTitle(other, settings.units),
      from: when(other.gatherAt, walk.zone, settings),
      to: when(finishTimes(other, settings).slowest, walk.zone, settings),
    }));
}

/** The leaders to choose from, in groups: the walk's area first, those who are free that day first. Without who asks, and who leads. */
export function candidateGroups(
  all: Candidate[],
  walk: Pick<WalkRow, 'areaId' | 'month'>,
  chosen: string,
  by: number,
  { settings, now }: Omit<Ground, 'q'>,
) {
  const { name: month } = monthName(walk.month, settings.locale);
  const groups = new Map<string, { value: string; label: string; selected: boolean }[]>();
  for (const one of all) {
    if (one.personId === by || one.part === 'leader') continue;
    const label = `${one.areaId === walk.areaId ? one.areaName : 'Other areas'}: ${one.busy === 0 ? 'free that day' : 'out on another walk that day'}`;
    const row = {
      value: String(one.personId),
      label: candidateWords(one, month, { here: walk.areaId, now }),
      selected: String(one.personId) === chosen,
    };
    groups.set(label, [...(groups.get(label) ?? []), row]);
  }
  return [...groups].map(([label, options]) => ({ label, options }));
}

/** "Otto Blume, East Fork (shares this walk; 2 walks in December)" */
function candidateWords(one: Candidate, month: string, { here, now }: { here: number; now: number }): string {
  const { name, areaId, areaName, part, walks, hasLed } = one;
  const count = walks === 0 ? `no walk in ${month}` : `${walks} ${walks === 1 ? 'walk' : 'walks'} in ${month}`;
  const words = [
    ...(part === 'co-leader' ? ['shares this walk'] : []),
    ...(hasLed ? [] : ['new']),
    count,
    ...(isPostingOpen({ dueAt: one.agreementDueAt }, now) ? [] : ['agreement due']),
  ].join('; ');
  return `${name}${areaId === here ? '' : `, ${areaName}`} (${words})`;
}
