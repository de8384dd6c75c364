import { AREAS, LANTERN_HILLS } from './areas.js';
import { at } from './chance.js';
import { LEADER, LEADERS, type Someone, someone } from './names.js';
import type { Planned, Span } from './plan.js';

export interface DemoLeader extends Someone {
  id: number;
  areaId: number;
  since: string;
  pledge: number;
  /** Months excused, with the reason. */
  excused: { month: string; reason: string }[];
  /** The most walks they lead in a month, where that is fewer than they pledged. */
  most: Record<string, number>;
}

export const COORDINATOR_ID = 1;
export const LEADER_ID = 2;
export const WALKER_ID = 3;
const HOST = 'waymeet.example';
const NEW_SINCE_LAST = 2;

/** The 24 leaders, {@link LEADER} first. One is short of the pledge, one excused, two are new. */
export function demoLeaders(span: Span): DemoLeader[] {
  const names = AREAS.flatMap((area) => (LEADERS[area.slug] ?? []).map((name) => ({ name, areaId: area.id })));
  return [{ name: LEADER, areaId: LANTERN_HILLS.id }, ...names].map(({ name, areaId }, index) => ({
    ...someone(name, HOST, index + 1, name === LEADER ? 'leader' : undefined),
    id: index === 0 ? LEADER_ID : WALKER_ID + index,
    areaId,
    since: at(span.months, 0),
    pledge: 1,
    excused: [],
    most: {},
    ...special(name, span),
  }));
}

function special(name: string, { today, months }: Span): Partial<DemoLeader> {
  const month = today.slice(0, 7);
  const now = months.indexOf(month);
  const before = at(months, now - 1);
  if (name === LEADER || name === 'Hal Pettibone') return { pledge: 2 };
  if (name === 'Otis Marchbanks') return { pledge: 2, most: { [before]: 1, [month]: 1 } };
  if (name === 'Gwen Hathersage')
    return { excused: [month, at(months, now + 1)].map((one) => ({ month: one, reason: 'New baby at home' })) };
  if (name === 'Bao Trinh' || name === 'Kehaulani Akana') return { since: at(months, now - NEW_SINCE_LAST) };
  return {};
}

/**
 * Who leads each planned walk: of the area's leaders, the one furthest from the month's pledge. `reserved` walks are {@link LEADER}'s.
 * A walk in every seventh is shared with a co-leader.
 */
export function assignLeaders(
  planned: Planned[],
  leaders: DemoLeader[],
  reserved: Set<Planned>,
): { leaderId: number; coLeaderId: number | null }[] {
  const led = new Map<string, number>();
  const busy = new Set(Array.from(reserved, (walk) => `${LEADER_ID} ${walk.date}`));
  const ledIn = (leader: DemoLeader, month: string) => led.get(`${leader.id} ${month}`) ?? 0;
  return planned.map((walk, index) => {
    const month = walk.date.slice(0, 7);
    const free = leaders.filter(
      (one) => one.areaId === walk.area.id && canLead(one, month, ledIn(one, month)) && !busy.has(`${one.id} ${walk.date}`),
    );
    free.sort((a, b) => ledIn(a, month) / a.pledge - ledIn(b, month) / b.pledge || a.id - b.id);
    const first = reserved.has(walk) ? LEADER_ID : free.shift()?.id;
    if (first === undefined) throw new Error(`nobody can lead in ${walk.area.name} on ${walk.date}`);
    const second = index % 7 === 3 ? free.filter((one) => one.most[month] === undefined).at(-1)?.id : undefined;
    led.set(`${first} ${month}`, (led.get(`${first} ${month}`) ?? 0) + 1);
    for (const id of [first, second]) if (id !== undefined) busy.add(`${id} ${walk.date}`);
    return { leaderId: first, coLeaderId: second ?? null };
  });
}

function canLead(leader: DemoLeader, month: string, led: number): boolean {
  return (
    leader.since <= month && leader.excused.every((one) => one.month !== month) && led < (leader.most[month] ?? Number.POSITIVE_INFINITY)
  );
}
