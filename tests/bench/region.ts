import { AREAS, LANTERN_HILLS } from '../../seed/areas.js';
import { at, type Chance, chance } from '../../seed/chance.js';
import { companion, contactFor, inventWalkers, type Someone, someone } from '../../seed/names.js';
import { ROUTES } from '../../seed/routes.js';
import { type LaidSignUp, type LaidWalk, rowWriter } from '../../seed/rows.js';
import { prepare } from '../../seed/statements.js';
import { walkFacts } from '../../seed/walk-facts.js';
import { layWalk } from '../../seed/walks.js';
import { layWays } from '../../seed/ways.js';
import { addDays, monthOf } from '../../server/calc/month.js';
import { wallOf } from '../../server/calc/zone.js';
import type { Db } from '../../server/db/open.js';
import type { Sealer } from '../../server/db/seal.js';
import { groupSettings } from '../../server/settings/rules.js';
import { saveSettings } from '../../server/settings/store.js';
import { layDownSamples, textInForce } from '../../server/texts/store.js';

const SEED = 7;
const DAYS_A_YEAR = 365;
const COMING_DAYS = 60;
const AREA_RADIUS_METRES = 12_000;
const CAPACITY = 30;
const WALKS_A_WALKER = 20;
const CONTACTS_MADE = 200;
const GATHER = ['08:30', '08:45', '09:00', '09:30', '10:00'] as const;

export interface RegionSize {
  /** ms */
  now: number;
  yearsBack: number;
  walksPerYear: number;
  /** Parties of one or two, {@link CAPACITY} people at most. */
  signUpsPerWalk: number;
  leaders: number;
  comingWalks: number;
  /** Days from tomorrow on that those are spread over; two months unless said. */
  comingDays?: number;
}

/** Lays a region of the size asked for, in one transaction, on a database that holds nobody. People 1 to `leaders` are its leaders. */
export function layRegion(db: Db, sealer: Sealer, size: RegionSize): void {
  const settings = { groupName: 'Harrow Fells Walkers', units: 'mi', locale: 'en-US' } as const;
  const making = { now: size.now, chance: chance(SEED), settings: groupSettings.parse(settings), host: 'walks.example' };
  const begunAt = size.now - (size.yearsBack + 1) * DAYS_A_YEAR * 24 * 60 * 60 * 1000;
  db.write((tx) => {
    saveSettings(tx, settings);
    layDownSamples(tx, begunAt);
    layPeople(db, size.leaders, begunAt);
    const write = rowWriter({ db, sealer, host: making.host, rules: textInForce(tx, 'rules'), waiver: textInForce(tx, 'waiver') });
    const ways = layWays(tx, Object.values(ROUTES).flat(), { leaderOf: () => 1, now: begunAt });
    const parties = partyMaker(size, making.chance);
    for (const [index, date] of walkDates(size).entries()) {
      const area = at(AREAS, index);
      const route = at(ROUTES[area.slug] ?? [], Math.floor(index / AREAS.length));
      const gather = at(GATHER, index);
      const facts = walkFacts(area, route, { date, gather, setOff: gather.replace(/^09:30$/, '09:45') }, CAPACITY, ways.get(route));
      const walk = layWalk({ id: index + 1, facts, leaderId: 1 + (index % size.leaders), coLeaderId: null }, making);
      write.walk(walk);
      for (const laid of parties(walk)) write.signUp(laid);
    }
  });
}

/** Evenly over the years behind, then over the days to come; none today. */
function walkDates({ now, yearsBack, walksPerYear, comingWalks, comingDays = COMING_DAYS }: RegionSize): string[] {
  const today = wallOf(now, LANTERN_HILLS.zone).date;
  const past = yearsBack * walksPerYear;
  const behind = Array.from({ length: past }, (_, index) =>
    addDays(today, -Math.max(1, Math.ceil(((past - index) / past) * yearsBack * DAYS_A_YEAR))),
  );
  const ahead = Array.from({ length: comingWalks }, (_, index) => addDays(today, 1 + Math.floor((index / comingWalks) * comingDays)));
  return [...behind, ...ahead];
}

/** Long after any bench is run. */
const AGREED_FOR_MS = 100 * 365 * 86_400_000;

function layPeople(db: Db, leaders: number, createdAt: number): void {
  const insert = prepare(db.raw);
  for (const { walkers: _, ...area } of AREAS) insert.area.run({ ...area, radiusMetres: AREA_RADIUS_METRES, createdAt });
  const since = monthOf(createdAt, LANTERN_HILLS.zone);
  for (const [index, { name, phone }] of inventWalkers(leaders).entries()) {
    const id = index + 1;
    insert.person.run({ ...someone(name, 'waymeet.example', index, `leader.${id}`), id, phone, coordinator: 0, createdAt });
    insert.leader.run(id, at(AREAS, index).id, since, createdAt);
    insert.term.run(id, since, createdAt);
    insert.pledge.run(id, since, 1);
  }
  // Nobody's agreement is due: all may post.
  db.raw.prepare('UPDATE leaders SET agreement_due_at = ?').run(createdAt + AGREED_FOR_MS);
}

/** Parties for a walk: all the walkers in turn, every fifth with a companion. Contacts are made once and sealed for each row anew. */
function partyMaker(
  { now, yearsBack, walksPerYear, comingWalks, signUpsPerWalk }: RegionSize,
  chance: Chance,
): (walk: LaidWalk) => LaidSignUp[] {
  const walkers = inventWalkers(
    Math.max(signUpsPerWalk, Math.ceil(((yearsBack * walksPerYear + comingWalks) * signUpsPerWalk) / WALKS_A_WALKER)),
  );
  const contacts = walkers.slice(0, CONTACTS_MADE).map((walker) => contactFor(walker.name, chance));
  let turn = 0;
  const party = (walker: Someone) => (turn % 5 === 0 ? [walker.name, companion(walker, chance)] : [walker.name]);
  return (walk) =>
    Array.from({ length: signUpsPerWalk }, (_, index) => {
      turn += 1;
      const walker = at(walkers, turn);
      const names = party(walker);
      const until = Math.min(walk.facts.gatherAt, now);
      const createdAt = Math.round(walk.postedAt + ((until - walk.postedAt) * (index + 1)) / (signUpsPerWalk + 1));
      return {
        walk,
        walker,
        party: names.map((one) => ({ name: one, photos: false })),
        state: 'confirmed',
        createdAt,
        withdrawnAt: null,
        contacts: names.map((_, member) => at(contacts, turn + member)),
      };
    });
}
