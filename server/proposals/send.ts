import type { Gap } from '../coverage/gaps.js';
import { gapHref } from '../coverage/needs.js';
import { wantedWords } from '../coverage/words.js';
import type { Tx } from '../db/open.js';
import type { Sealer } from '../db/seal.js';
import type { OweContext } from '../notices/compose.js';
import { giveUpAt } from '../notices/due.js';
import { insertNotice } from '../notices/owed.js';
import { addressee } from '../together/store.js';
import { dateWords } from '../web/when.js';
import { addLetter } from './asks-store.js';
import type { Sendable } from './picks.js';
import type { Season } from './season.js';

/** A walk to ask for on a day of it. */
interface WantedOn {
  gap: Gap;
  date: string;
}

/** Asks leaders for gaps: each gets one letter, and the mail with it is owed in the same transaction. Gives how many walks were asked for. */
export function sendAsks(
  tx: Tx,
  { sealer, ...context }: OweContext & { sealer: Sealer },
  season: Season,
  { send, by, note }: { send: Sendable[]; by: { id: number; name: string }; note: string },
): number {
  const gaps = new Map(season.gaps.map((gap) => [gap.need.id, gap]));
  const byLeader = new Map<number, WantedOn[]>();
  for (const { need, leaderId, date } of send) {
    const gap = gaps.get(need);
    if (gap) byLeader.set(leaderId, [...(byLeader.get(leaderId) ?? []), { gap, date }]);
  }
  for (const [to, wanted] of byLeader) {
    wanted.sort((a, b) => (a.date < b.date ? -1 : 1));
    const letter = { to, by: by.id, note, at: context.now };
    const id = addLetter(tx, sealer, letter, wanted.map(askOf));
    oweMail(tx, context, { id, to, by, note, wanted });
  }
  return send.length;
}

function askOf({ gap: { need }, date }: WantedOn) {
  const { id, areaId, week, month, dayKind } = need;
  const lengths =
    dayKind === 'any'
      ? { leastMetres: null, bestMetres: null, mostMetres: null }
      : {
          leastMetres: Math.max(0, Math.ceil(need.leastMetres)),
          bestMetres: Math.round(need.bestMetres),
          mostMetres: Math.floor(need.mostMetres),
        };
  return { need: id, areaId, week, month, dayKind, date, ...lengths };
}

interface Owed {
  id: number;
  to: number;
  by: { id: number; name: string };
  note: string;
  wanted: WantedOn[];
}

/** Whoever is shut out is mailed nothing. */
function oweMail(tx: Tx, context: OweContext, { id, to, by, note, wanted }: Owed): void {
  const recipient = addressee(tx, to);
  if (!recipient) return;
  const { now, settings } = context;
  const walks = wanted.map(({ gap, date }) => ({
    area: gap.area.name,
    day: dateWords(date, settings.locale),
    words: wantedWords(gap.need, date, settings),
    href: gapHref({ ...gap, date }, settings),
  }));
  const ask = { letter: { id, madeAt: now }, by: { personId: by.id, name: by.name }, note, walks };
  const last = wanted.at(-1)?.date ?? '';
  // After its last day it is of no use to anybody, whatever the zone.
  insertNotice(tx, context, {
    event: `ask:${id}:${now}`,
    kind: 'ask',
    to: recipient,
    content: { ask },
    giveUpAt: giveUpAt(now, Date.parse(last)),
  });
}
