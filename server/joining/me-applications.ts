import { desc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { applications, areas } from '../db/schema/index.js';
import type { ApplicationRow } from './store.js';
import { dayNames } from './weekdays.js';

interface OwnApplication {
  application: ApplicationRow;
  area: string;
  /** The names of the other areas. */
  otherAreas: string[];
}

/** A person's applications to lead, the latest first. Two queries. */
export function ownApplications(q: Tx, personId: number): OwnApplication[] {
  const names = new Map(
    q
      .select({ id: areas.id, name: areas.name })
      .from(areas)
      .all()
      .map((area) => [area.id, area.name]),
  );
  return q
    .select()
    .from(applications)
    .where(eq(applications.personId, personId))
    .orderBy(desc(applications.id))
    .all()
    .map((application) => ({
      application,
      area: names.get(application.areaId) ?? '',
      otherAreas: application.otherAreas.flatMap((id) => names.get(id) ?? []),
    }));
}

/** An application in the words of /me.json; instants in UTC. */
export function applicationJson({ application, area, otherAreas }: OwnApplication) {
  const { id, state, name, phone, why, days, longestMetres, question, answer, words } = application;
  return {
    ...{ application: id, state, name, phone, area, otherAreas, why, days: dayNames(days), longestMetres, question, answer, words },
    applied: iso(application.createdAt),
    changed: iso(application.changedAt),
    asked: iso(application.askedAt),
    answered: iso(application.answeredAt),
    ready: iso(application.readyAt),
    decided: iso(application.decidedAt),
  };
}

function iso(at: number | null): string | null {
  return at === null ? null : new Date(at).toISOString();
}
