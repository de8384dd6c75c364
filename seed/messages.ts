import { messages } from '../server/db/schema/index.js';
import type { MessageForm } from '../server/messages/form.js';
import { GAPS } from '../server/messages/gaps.js';
import { aboutMeeting, startWalk, thanks } from '../server/messages/start-texts.js';
import { contentOf, type Telling } from './notices.js';
import type { LaidSignUp, LaidWalk } from './rows.js';

const HOUR_MS = 60 * 60 * 1000;

/** A sign-up with the number it was given. */
export interface Numbered {
  id: number;
  laid: LaidSignUp;
}

/** When the leader of a walk thanks its walkers: that evening, ms. */
export function thankedAt({ facts }: LaidWalk): number {
  return facts.setOffAt + 9 * HOUR_MS;
}

/** What the leader of two walks wrote: where to meet on one to come, and thanks after one that is over. */
export function layMessages(
  walks: { coming: LaidWalk | undefined; over: LaidWalk | undefined },
  signUps: Numbered[],
  telling: Telling,
): void {
  const { now, settings } = telling;
  if (walks.coming)
    layMessage(walks.coming, signUps, telling, now - 2 * HOUR_MS, (part) => {
      const { subject, text } = aboutMeeting(startWalk(part, settings, []));
      return { subject, text: text.replace(GAPS.lookFor, 'the yellow flag on my rucksack') };
    });
  if (walks.over) layMessage(walks.over, signUps, telling, thankedAt(walks.over), (part) => thanks(startWalk(part, settings, [])));
}

function layMessage(
  walk: LaidWalk,
  signUps: Numbered[],
  telling: Telling,
  at: number,
  words: (part: ReturnType<typeof contentOf>) => MessageForm,
): void {
  const { tx, leaders, write } = telling;
  const audience = at < walk.facts.gatherAt ? 'everyone' : 'confirmed';
  const states = audience === 'everyone' ? ['confirmed', 'waiting'] : ['confirmed'];
  const to = signUps.filter(({ laid }) => laid.walk === walk && laid.createdAt < at && states.includes(laid.state));
  const [first] = to;
  if (!first) return;
  const from = leaders.find((one) => one.id === walk.leaderId)?.name ?? '';
  const form = words(contentOf(first.id, first.laid, telling));
  const message = { ...form, from, byId: walk.leaderId, at };
  tx.insert(messages)
    .values({ walkId: walk.id, byPersonId: walk.leaderId, fromName: from, ...form, at, audience, count: to.length })
    .run();
  for (const { id, laid } of to)
    write.keptNotice({ kind: 'message', event: `message:demo-${walk.id}:${id}`, at }, laid, { ...contentOf(id, laid, telling), message });
}
