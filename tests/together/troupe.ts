import { eq } from 'drizzle-orm';
import { notices, people } from '../../server/db/schema/index.js';
import { approveLeader } from '../../server/leaders/store.js';
import { makeOffer, type NewOffer } from '../../server/together/offers.js';
import { addCoLeader, partsOf } from '../../server/together/store.js';
import { openStage, type Stage } from '../notices/stage.js';
import type { Browser } from '../support/browser.js';
import { browserOf } from '../support/cast.js';
import { latestToken } from '../support/offer.js';

/** The stage's walk, led by Lena Marsh, with more leaders and a coordinator. */
export interface Troupe extends Stage {
  ids: { lena: number; otto: number; coe: number; ida: number; cora: number };
  as: (who: keyof Troupe['ids'] | 'nobody') => Browser;
  /** Lena asks, unless `by` says another; gives the secret part of the address that answers it. */
  ask: (to: keyof Troupe['ids'], offer?: Partial<NewOffer> & { by?: keyof Troupe['ids']; walkId?: number }) => string;
  answer: (token: string, answer: 'accept' | 'decline', words?: string) => Promise<string>;
  /** "Lena leads, Coe shares" */
  parts: (walkId?: number) => string;
  share: (who: keyof Troupe['ids']) => void;
  /** The kinds of mail owed to somebody, in their order. */
  mailTo: (email: string) => string[];
}

export async function openTroupe(): Promise<Troupe> {
  const stage = await openStage();
  const { site, walkId, leaderId } = stage;
  const { db, services, clock } = site;
  const ids = db.write((tx) => {
    const row = { name: 'Cora Danner', email: 'coordinator@waymeet.example', coordinator: true, createdAt: clock.now };
    const cora = tx.insert(people).values(row).returning({ id: people.id }).get().id;
    const leader = (name: string, email: string, phone: string, areaId = 1) =>
      approveLeader(tx, { name, email, phone, areaId, pledge: 1, month: '2026-11' }, cora, clock.now);
    return {
      lena: leaderId,
      cora,
      otto: leader('Otto Blume', 'second@waymeet.example', '+12025550120'),
      coe: leader('Coe Lindgren', 'third@waymeet.example', '+12025550130'),
      ida: leader('Ida Quist', 'fourth@waymeet.example', '+12025550140', 2),
    };
  });
  const troupe: Troupe = {
    ...stage,
    ids,
    as: (who) => browserOf(site, who === 'nobody' ? null : ids[who]),
    ask: (to, { by = 'lena', walkId: on = walkId, ...offer } = {}) => {
      const refused = makeOffer(services, on, ids[by], { kind: 'hand-over', toPersonId: ids[to], stays: false, note: '', ...offer });
      if (refused) throw new Error(refused.fault);
      return latestToken(site);
    },
    answer: async (token, answer, words = '') => {
      const browser = browserOf(site, null);
      const posted = await browser.post(`/offers/${token}`, { answer, words });
      return posted.status === 303 ? ((await browser.get(`/offers/${token}`)).text ?? '') : `${posted.status} ${posted.text}`;
    },
    parts: (on = walkId) =>
      partsOf(db.q, on)
        .map(({ name, part }) => `${name.split(' ')[0]} ${part === 'leader' ? 'leads' : 'shares'}`)
        .join(', '),
    share: (who) => db.write((tx) => addCoLeader(tx, walkId, ids[who])),
    mailTo: (email) => {
      const rows = db.q.select().from(notices).where(eq(notices.toEmail, email)).orderBy(notices.id).all();
      return rows.map(({ kind, content }) => ('together' in content ? `${kind} ${content.together.news}` : kind));
    },
  };
  return troupe;
}
