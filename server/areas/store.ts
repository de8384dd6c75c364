import { asc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { areas, leaders } from '../db/schema/index.js';

export type AreaRow = typeof areas.$inferSelect;
export type NewArea = Omit<AreaRow, 'id' | 'createdAt' | 'slug'>;

export function allAreas(q: Tx): AreaRow[] {
  return q.select().from(areas).orderBy(asc(areas.name)).all();
}

export function areaSlugs(q: Tx): string[] {
  return q
    .select({ slug: areas.slug })
    .from(areas)
    .all()
    .map((row) => row.slug);
}

export function areaBySlug(q: Tx, slug: string): AreaRow | undefined {
  return q.select().from(areas).where(eq(areas.slug, slug)).get();
}

/** The area a leader leads in. */
export function homeArea(q: Tx, personId: number): AreaRow | undefined {
  return q.select({ area: areas }).from(leaders).innerJoin(areas, eq(areas.id, leaders.areaId)).where(eq(leaders.personId, personId)).get()
    ?.area;
}

/** Adds an area; its address is made from its name and does not change with it afterwards. */
export function addArea(tx: Tx, area: NewArea, now: number): string {
  const slug = freeSlug(tx, area.name);
  tx.insert(areas)
    .values({ ...area, slug, createdAt: now })
    .run();
  return slug;
}

export function changeArea(tx: Tx, id: number, area: NewArea): void {
  tx.update(areas).set(area).where(eq(areas.id, id)).run();
}

function freeSlug(tx: Tx, name: string): string {
  const plain =
    name
      .normalize('NFKD')
      .toLowerCase()
      .replace(/[\u0300-\u036f]/g, '')
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '') || 'area';
  const taken = new Set(areaSlugs(tx));
  if (!taken.has(plain)) return plain;
  let number = 2;
  while (taken.has(`${plain}-${number}`)) number += 1;
  return `${plain}-${number}`;
}
