import { addDays } from '../server/calc/month.js';
import { type DemoArea, LANTERN_HILLS, MILLBROOK, PORT_AVERY, QUARRY_LAKES } from './areas.js';
import type { Planned, Span } from './plan.js';

/** The walks that something happens to: what each page of the demo has to show. */
export interface Stories {
  today: Planned;
  /** Led by the demo's leader: today's and some to come, a long one over the ridge among them. */
  leadersOwn: Set<Planned>;
  /** A long one of theirs, which they mean to lead again. */
  ridge: Planned;
  /** The next one the demo's leader leads after today. */
  leadersNext: Planned;
  /** Full, with people waiting. */
  full: Planned;
  /** Cancelled for safety, everyone told. */
  cancelled: Planned;
  /** Gathers somewhere else than it was posted with, everyone told. */
  edited: Planned;
  /** Yesterday's, over and not closed yet; null where there was none. */
  notClosed: Planned | null;
}

/** Finds a walk for each story among those planned. */
export function chooseStories(planned: Planned[], span: Span): Stories {
  const coming = (area: DemoArea, from: number) => planned.filter((walk) => walk.area === area && walk.date >= addDays(span.today, from));
  const first = (area: DemoArea, from: number) =>
    found(
      coming(area, from).find((walk) => walk.route.kind === 'long'),
      area,
    );
  const mine = coming(LANTERN_HILLS, 1);
  const next = found(mine[0], LANTERN_HILLS);
  const ridge = found(
    mine.find((walk) => walk.route.name === 'Three lamps ridge'),
    LANTERN_HILLS,
  );
  const today = found(
    planned.find((walk) => walk.area === LANTERN_HILLS && walk.date === span.today),
    LANTERN_HILLS,
  );
  return {
    today,
    leadersOwn: new Set([today, next, ridge, ...mine.filter((_, index) => index % 5 === 2).slice(0, 3)]),
    ridge,
    leadersNext: next,
    full: first(MILLBROOK, 2),
    cancelled: first(PORT_AVERY, 1),
    edited: first(QUARRY_LAKES, 2),
    notClosed: planned.filter((walk) => walk.date === addDays(span.today, -1)).at(-1) ?? null,
  };
}

function found(walk: Planned | undefined, area: DemoArea): Planned {
  if (!walk) throw new Error(`no walk to come in ${area.name}`);
  return walk;
}
