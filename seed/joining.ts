import { eq } from 'drizzle-orm';
import { addDays } from '../server/calc/month.js';
import type { Tx } from '../server/db/open.js';
import { applications, leaderAreas, leaders, people } from '../server/db/schema/index.js';
import type { Sealer } from '../server/db/seal.js';
import { monthsLater } from '../server/joining/renewal.js';
import { AGREEMENT_CONSENT, AGREEMENT_INTENT } from '../server/joining/words.js';
import { type GroupText, textInForce } from '../server/texts/store.js';
import { keepWaiver } from '../server/waivers/store.js';
import { EAST_FORK, LANTERN_HILLS, QUARRY_LAKES } from './areas.js';
import { at } from './chance.js';
import type { DemoLeader } from './leaders.js';
import { LEADER, type Someone, someone } from './names.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const AGREEMENT_MONTHS = 12;
/** The one whose agreement is due soon signed it so long ago. */
const SOON_AFTER_DAYS = 345;
const SOON = 'Otis Marchbanks';
const HOST = 'waymeet.example';
/** Applicants' numbers follow those of the leaders. */
const FIRST_NUMBER = 150;

const DAYS = [[6], [6, 7], [3, 6], [2, 4, 6], [7], [1, 5, 6, 7]];
const LONGEST_METRES = [12_875, 16_093, 20_117, 25_750, 32_187];

interface Ground {
  sealer: Sealer;
  now: number;
  /** YYYY-MM-DD */
  today: string;
}

/** The leaders' agreements and what they say of themselves; somebody ready to be approved, and somebody who was asked something. */
export function layJoining(tx: Tx, ground: Ground, demoLeaders: DemoLeader[]): void {
  const text = textInForce(tx, 'agreement');
  for (const [index, leader] of demoLeaders.entries()) {
    const days = leader.name === SOON ? SOON_AFTER_DAYS : 60 + index * 5;
    const signedAt = ground.now - days * DAY_MS;
    agree(tx, ground.sealer, { who: leader, text, signedAt });
    tx.update(leaders)
      .set({ agreementDueAt: monthsLater(signedAt, AGREEMENT_MONTHS), ...saidBy(leader, index, ground.today) })
      .where(eq(leaders.personId, leader.id))
      .run();
    if (index % 6 === 0 && leader.areaId !== EAST_FORK.id)
      tx.insert(leaderAreas).values({ personId: leader.id, areaId: EAST_FORK.id }).run();
  }
  layApplicants(tx, ground, text);
}

function saidBy({ name }: DemoLeader, index: number, today: string) {
  return {
    days: at(DAYS, index % DAYS.length),
    longestMetres: at(LONGEST_METRES, index % LONGEST_METRES.length),
    shortestMetres: index % 3 === 0 ? 4828 : null,
    // One in eight has let it run out.
    firstAidUntil: index % 2 === 0 ? addDays(today, index % 8 === 6 ? -20 : 90 + index * 11) : null,
    offersFirst: name === LEADER || index % 5 === 1,
  };
}

function agree(tx: Tx, sealer: Sealer, { who, text, signedAt }: { who: Someone; text: GroupText; signedAt: number }): void {
  const signer = { email: who.email, forName: who.name, signedAs: 'leader', signerName: who.name, signature: who.name } as const;
  const page = { how: 'page', intent: AGREEMENT_INTENT, consent: AGREEMENT_CONSENT, proof: 'signed in', seenBy: '' } as const;
  keepWaiver(tx, sealer, { ...page, ...signer, text, signUpId: null, memberId: null, signedAt }, signedAt);
}

/** The handbook and the quiz of the first are laid with those. */
function layApplicants(tx: Tx, { sealer, now }: Ground, text: GroupText): void {
  const [ready, asked] = ['Farah Lindqvist', 'Desmond Achterberg'].map((name, index) => someone(name, HOST, FIRST_NUMBER + index));
  if (!ready || !asked) throw new Error('the applicants are not there');
  apply(tx, ready, {
    ...{ areaId: QUARRY_LAKES.id, days: [6, 7], longestMetres: 25_750, otherAreas: [EAST_FORK.id], createdAt: now - 9 * DAY_MS },
    why: 'I have walked with you for two seasons and know every gate around the lakes. I would like others to feel as welcome as I did.',
  });
  agree(tx, sealer, { who: ready, text, signedAt: now - 4 * DAY_MS });
  apply(tx, asked, {
    ...{ areaId: LANTERN_HILLS.id, days: [3], longestMetres: 9656, otherAreas: [], createdAt: now - 3 * DAY_MS },
    why: 'Retired last spring. Short weekday walks for people who are coming back to walking would suit me.',
    question: 'You write of weekdays only: could you take a Saturday now and then, too?',
    askedAt: now - DAY_MS,
  });
}

type Applied = Pick<
  typeof applications.$inferInsert,
  'areaId' | 'days' | 'longestMetres' | 'otherAreas' | 'why' | 'createdAt' | 'question' | 'askedAt'
>;

function apply(tx: Tx, { name, email, phone }: Someone, applied: Applied): void {
  const { id } = tx.insert(people).values({ name, email, phone, createdAt: applied.createdAt }).returning({ id: people.id }).get();
  tx.insert(applications)
    .values({ ...applied, personId: id, state: 'open', name, phone, changedAt: applied.createdAt })
    .run();
}
