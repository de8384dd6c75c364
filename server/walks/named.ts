import { walks } from '../db/schema/index.js';

/** The columns by which a page names a walk: its title, and its day in its own zone. */
export const NAMED_WALK = {
  walkId: walks.id,
  gatherAt: walks.gatherAt,
  zone: walks.zone,
  distanceMetres: walks.distanceMetres,
  routeName: walks.routeName,
  locality: walks.locality,
};

/** A walk by these columns. */
export interface NamedWalk {
  walkId: number;
  gatherAt: number;
  zone: string;
  distanceMetres: number;
  routeName: string;
  locality: string;
}
