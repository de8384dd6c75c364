import { desc, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { applications, areas } from '../db/schema/index.js';
import { iso } from '../web/when.js';
import type { ApplicationRow } from './store.js';
import { dayNames } from './weekdays.js';

interface OwnApplication {
  application: ApplicationRow;
  area: string;
  /** The names of the other areas. */
  otherAreas: string[];
}

/** A person's applications to lead, the latest first. One query. */
export function ownApplications(q: Tx, personId: number): OwnApplication[] {
  const otherNames = sql<string>`(SELECT json_group_array(o.name) FROM areas o WHERE o.id IN (SELECT value FROM json_each(${applications.otherAreas})))`;
  return q
    .select({ application: applications, area: areas.name, otherAreas: otherNames })
    .from(applications)
    .innerJoin(areas, eq(areas.id, applications.areaId))
    .where(eq(applications.personId, personId))
    .orderBy(desc(applications.id))
    .all()
    .map((row) => ({ ...row, otherAreas: JSON.parse(row.otherAreas) as string[] }));
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
