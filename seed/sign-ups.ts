import { AREAS } from './areas.js';
import { at, type Chance } from './chance.js';
import { companion, contactFor, type Someone } from './names.js';
import type { LaidMember, LaidSignUp, LaidWalk } from './rows.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;
/** Emergency details are removed this long after a walk. */
const CONTACTS_KEPT_MS = 30 * DAY_MS;
const LAST_SIGN_UP_MS = 3 * HOUR_MS;

export interface Booking {
  now: number;
  chance: Chance;
}

/** Deals walkers to walks in turn, four in five from the walk's own area, so that everyone comes along before anyone comes again. */
export function dealer(walkers: Someone[], chance: Chance): (areaId: number) => Someone {
  const decks = new Map<number, Someone[]>();
  const dealt = new Map<number, number>();
  let from = 0;
  for (const area of AREAS) {
    decks.set(area.id, walkers.slice(from, from + area.walkers));
    from += area.walkers;
  }
  return (areaId) => {
    const id = chance.happens(0.8) ? areaId : at(AREAS, areaId).id;
    const turn = dealt.get(id) ?? 0;
    dealt.set(id, turn + 1);
    return at(decks.get(id) ?? [], turn);
  };
}

/** How many places are taken by now: most on a walk that has been or is near, few on one that is months away. */
export function placesWanted(walk: LaidWalk, { now, chance }: Booking): number {
  const daysAhead = Math.max(0, (walk.facts.gatherAt - now) / DAY_MS);
  const share = Math.max(0.08, 0.85 - daysAhead / 70) * (0.6 + 0.4 * chance.next());
  return Math.round(walk.facts.capacity * share);
}

interface Party {
  walker: Someone;
  size: number;
  /** Who they are, where that is not left to chance. */
  members?: LaidMember[];
}

interface Filling {
  /** Places to be taken, never more than the walk's. */
  places: number;
  /** Walkers who come whatever the dealer says. */
  surely?: Party[];
  deal: (areaId: number) => Someone;
}

/** The parties confirmed on a walk, and now and then one that has withdrawn; earliest first. */
export function fillWalk(walk: LaidWalk, { places, surely = [], deal }: Filling, booking: Booking): LaidSignUp[] {
  const { chance } = booking;
  const parties: Party[] = [...surely];
  let taken = surely.reduce((sum, party) => sum + party.size, 0);
  while (taken < places) {
    const size = Math.min(places - taken, partySize(chance));
    parties.push({ walker: newcomer(walk, parties, deal), size });
    taken += size;
  }
  const confirmed = parties.map((party) => signUp(walk, party, 'confirmed', booking));
  if (!chance.happens(0.3)) return confirmed;
  return [...confirmed, withdrawn(signUp(walk, { walker: newcomer(walk, parties, deal), size: 1 }, 'withdrawn', booking), booking)];
}

/** The waiting list of a full walk: `sizes` of parties in line, who came after everyone else. */
export function waitingList(
  walk: LaidWalk,
  confirmed: LaidSignUp[],
  sizes: number[],
  deal: Filling['deal'],
  booking: Booking,
): LaidSignUp[] {
  const parties = confirmed.map(({ walker }) => ({ walker }));
  const last = Math.max(...confirmed.map((one) => one.createdAt));
  return sizes.map((size, index) => {
    const walker = newcomer(walk, parties, deal);
    parties.push({ walker });
    const createdAt = last + ((booking.now - last) * (index + 1)) / (sizes.length + 1);
    return { ...signUp(walk, { walker, size }, 'waiting', booking), createdAt: Math.round(createdAt) };
  });
}

function newcomer(walk: LaidWalk, parties: { walker: Someone }[], deal: Filling['deal']): Someone {
  let walker = deal(walk.facts.areaId);
  while (parties.some((party) => party.walker === walker)) walker = deal(walk.facts.areaId);
  return walker;
}

function partySize(chance: Chance): number {
  const drawn = chance.next();
  return drawn < 0.8 ? 1 : drawn < 0.96 ? 2 : 3;
}

function signUp(walk: LaidWalk, party: Party, state: LaidSignUp['state'], { now, chance }: Booking): LaidSignUp {
  const until = Math.min(walk.facts.gatherAt - LAST_SIGN_UP_MS, walk.cancelled?.at ?? now, now);
  const createdAt = Math.round(walk.postedAt + (until - walk.postedAt) * chance.next());
  const people = party.members ?? companions(walk, party, chance);
  const held = walk.facts.gatherAt > now - CONTACTS_KEPT_MS;
  return {
    walk,
    walker: party.walker,
    party: people,
    state,
    createdAt,
    withdrawnAt: null,
    contacts: held ? people.map(({ name }) => contactFor(name, chance)) : [],
  };
}

/** Others of the walker's family; on a walk that takes them, some under 18. */
function companions(walk: LaidWalk, { walker, size }: Party, chance: Chance): LaidMember[] {
  const people: LaidMember[] = [{ name: walker.name, photos: chance.happens(0.7) }];
  while (people.length < size) {
    const name = companion(walker, chance);
    const minor = walk.facts.minors && chance.happens(0.4);
    if (!people.some((one) => one.name === name)) people.push({ name, minor, photos: chance.happens(0.6) });
  }
  return people;
}

function withdrawn(made: LaidSignUp, { now, chance }: Booking): LaidSignUp {
  const until = Math.min(made.walk.facts.gatherAt, now);
  return { ...made, withdrawnAt: Math.round(made.createdAt + (until - made.createdAt) * chance.next()) };
}
