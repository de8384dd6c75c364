import { leaderMonths } from '../../server/commitment/store.js';
import { commitmentWords } from '../../server/commitment/words.js';
import { people, walkLeaders } from '../../server/db/schema/index.js';
import { approveLeader } from '../../server/leaders/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { openSite, type TestSite } from '../support/app.js';
import { walkFacts } from '../support/cast.js';

export const HOUR = 60 * 60_000;
export const DAY = 24 * HOUR;

export interface Place {
  areaId: number;
  zone: string;
}
export const NEW_YORK: Place = { areaId: 1, zone: 'America/New_York' };
export const CHICAGO: Place = { areaId: 2, zone: 'America/Chicago' };

export interface CommitmentStage {
  site: TestSite;
  coordinator: number;
  /** Approves a leader; gives their number. */
  leader: (name: string, set?: { area?: Place; pledge?: number; month?: string }) => number;
  /** Posts a walk of a leader on a date; gives its number. */
  walk: (leaderId: number, date: string, set?: Partial<WalkFacts>, how?: { coLeader?: number; state?: 'draft' | 'posted' }) => number;
  cancel: (walkId: number, kind: 'safety' | 'other') => void;
  /** A leader's month as a word and its figures: "kept 1+0". */
  month: (leaderId: number, month: string) => string;
}

/** The service with a coordinator, two areas across a time-zone line, and nobody else. */
export async function openCommitment(): Promise<CommitmentStage> {
  const site = await openSite();
  const { db, services, clock } = site;
  const coordinator = db.write(
    (tx) =>
      tx
        .insert(people)
        .values({ name: 'Cora Danner', email: 'coordinator@waymeet.example', coordinator: true, createdAt: clock.now })
        .returning()
        .get().id,
  );
  return {
    site,
    coordinator,
    leader: (name, { area = NEW_YORK, pledge = 1, month = '2026-01' } = {}) => {
      const email = `${name.toLowerCase().replace(/\W+/g, '.')}@waymeet.example`;
      const row = { name, email, phone: '+12025550110', areaId: area.areaId, pledge, month };
      return db.write((tx) => approveLeader(tx, row, coordinator, clock.now));
    },
    walk: (leaderId, date, set = {}, { coLeader, state = 'posted' } = {}) => {
      const id = saveNewWalk(services, walkFacts({ date, ...set }), leaderId, state);
      if (coLeader !== undefined)
        db.write((tx) => tx.insert(walkLeaders).values({ walkId: id, personId: coLeader, part: 'co-leader' }).run());
      return id;
    },
    cancel: (walkId, kind) => cancelWalk(services, walkId, coordinator, { kind, reason: 'Storm' }),
    month: (leaderId, month) => {
      const one = leaderMonths(db.q, [month], clock.now, leaderId)[0]?.months[0];
      return one ? `${commitmentWords(one).word} ${one.kept}+${one.coming}` : 'no leader';
    },
  };
}
