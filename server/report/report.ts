import { type Figures, isNothing, NOTHING, together } from './figures.js';

export interface ReportArea {
  id: number;
  name: string;
  /** The month in which it was added, in its own zone, YYYY-MM. */
  addedMonth: string;
}

/** Figures of an area's month, as far as one query tells. */
export type Counted = { areaId: number; month: string } & Partial<Figures>;

export interface AreaReport {
  area: ReportArea;
  /** In the order of the months; null before the area was there, unless something happened in it all the same. */
  months: (Figures | null)[];
  total: Figures;
}

/** Areas by months, and what both come to. */
export interface Report {
  months: string[];
  areas: AreaReport[];
  byMonth: Figures[];
  total: Figures;
}

/** Lays what was counted out by area and month. Pure. @param counted of these areas and months, in any order, several rows for a cell or none: those of one cell are added up */
export function reportOf(areas: ReportArea[], months: string[], counted: Counted[]): Report {
  const cells = new Map<string, Figures>();
  for (const { areaId, month, ...figures } of counted) {
    const key = `${areaId} ${month}`;
    cells.set(key, together([cells.get(key) ?? NOTHING, { ...NOTHING, ...figures }]));
  }
  const rows = areas.map((area): AreaReport => {
    const own = months.map((month) => {
      const figures = cells.get(`${area.id} ${month}`) ?? NOTHING;
      return month < area.addedMonth && isNothing(figures) ? null : figures;
    });
    return { area, months: own, total: together(present(own)) };
  });
  return {
    months,
    areas: rows,
    byMonth: months.map((_, index) => together(present(rows.map((row) => row.months[index] ?? null)))),
    total: together(rows.map((row) => row.total)),
  };
}

function present(figures: (Figures | null)[]): Figures[] {
  return figures.filter((one) => one !== null);
}
