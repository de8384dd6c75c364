import { eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices } from '../db/schema/index.js';
import type { OweContext } from '../notices/compose.js';
import { giveUpAt } from '../notices/due.js';
import { dropNotices, insertNotice } from '../notices/owed.js';
import type { WalkRow } from '../walks/ledby.js';
import { walkTitle } from '../walks/title.js';
import type { Named, TogetherContent } from './content.js';
import { addressee, type Offer } from './store.js';

/** What a mail between leaders says besides the walk. */
type Said = Pick<TogetherContent, 'news' | 'kind' | 'by' | 'to' | 'note' | 'offer'>;

interface Letter {
  /** Names the cause and the recipient. */
  event: string;
  /** Whom it goes to, by number. */
  to: number;
  said: Said;
}

/** Owes whoever was asked an offer. */
export function oweOffer(tx: Tx, context: OweContext, walk: WalkRow, { offer, to, by }: Offer): void {
  const said = { ...about(offer.kind, by, to), news: 'asked', note: offer.note, offer: { id: offer.id, madeAt: offer.createdAt } } as const;
  oweLetter(tx, context, walk, { event: asking(offer.id), to: to.personId, said }, 'offer');
}

/** Owes whoever asked the answer. */
export function oweAnswer(tx: Tx, context: OweContext, walk: WalkRow, { offer, to, by }: Offer, words: string): void {
  const news = offer.state === 'accepted' ? 'accepted' : 'declined';
  const said = { ...about(offer.kind, by, to), news, note: words } as const;
  oweLetter(tx, context, walk, { event: `offer-answer:${offer.id}`, to: by.personId, said }, 'offer-answer');
}

/** Owes whoever was asked the news that the offer ended without them; nothing where they never heard of it, and then they never do. */
export function oweOfferEnded(
  tx: Tx,
  context: OweContext,
  walk: WalkRow,
  ended: Offer & { news: 'withdrawn' | 'taken' | 'cancelled' },
): void {
  const { offer, to, by, news } = ended;
  if (dropUnheard(tx, offer.id)) return;
  oweLeading(tx, context, walk, {
    event: `offer-ended:${offer.id}`,
    to: to.personId,
    said: { ...about(offer.kind, by, to), news, note: '' },
  });
}

/** Takes back the mail of an offer that certainly never went out; whether there was such a one. */
export function dropUnheard(tx: Tx, offerId: number): boolean {
  const asked = tx
    .select({ id: notices.id, state: notices.state, unsure: notices.unsure })
    .from(notices)
    .where(eq(notices.event, asking(offerId)))
    .get();
  if (asked?.state !== 'pending' || asked.unsure) return false;
  dropNotices(tx, [asked]);
  return true;
}

/** Owes a leader news of who leads or shares a walk. */
export function oweLeading(tx: Tx, context: OweContext, walk: WalkRow, letter: Letter): void {
  oweLetter(tx, context, walk, letter, 'leading');
}

/** Whoever is shut out or erased is mailed nothing. */
function oweLetter(tx: Tx, context: OweContext, walk: WalkRow, { event, to, said }: Letter, kind: 'offer' | 'offer-answer' | 'leading') {
  const recipient = addressee(tx, to);
  if (!recipient) return;
  const together: TogetherContent = {
    walkId: walk.id,
    version: walk.version,
    title: walkTitle(walk, context.settings.units),
    gatherAt: walk.gatherAt,
    zone: walk.zone,
    place: [walk.meetingPoint, walk.landmark].filter((part) => part !== '').join(', '),
    ...said,
  };
  insertNotice(tx, context, { event, kind, to: recipient, content: { together }, giveUpAt: giveUpAt(context.now, walk.gatherAt) });
}

function asking(offerId: number): string {
  return `offer:${offerId}`;
}

function about(kind: TogetherContent['kind'], by: Named, to: Named): Pick<Said, 'kind' | 'by' | 'to'> {
  return { kind, by: named(by), to: named(to) };
}

/** Who someone is in a mail, and no more of them. */
export function named({ personId, name }: Named): Named {
  return { personId, name };
}
