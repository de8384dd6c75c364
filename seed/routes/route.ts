import type { SURFACES } from '../../server/walks/facts.js';
import type { DayKind } from '../areas.js';
import type { Point } from '../points.js';

/** A walk that an area's leaders lead again and again. Miles and feet, as the group counts. */
export interface Route {
  name: string;
  locality: string;
  kind: DayKind;
  miles: number;
  feet: number;
  surfaces: (typeof SURFACES)[number][];
  stepFree?: boolean;
  dogs?: boolean;
  point: Point;
  description: string;
  bring?: string;
  theme?: string;
  directions?: string;
}
