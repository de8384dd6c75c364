import { type IncidentKind, KINDS } from './words.js';

/** An incident as far as it is counted; `kind` is null where its record does not open. */
export interface Counted {
  kind: IncidentKind | null;
  called: boolean;
  /** YYYY-MM */
  month: string;
  areaName: string;
}

export interface SummaryRow {
  label: string;
  count: number;
  called: number;
  /** So few that people may know whom it was. */
  few: boolean;
}

/** Under so many, a figure may point to somebody (common practice in published counts, no source). */
export const FEW = 3;

export interface Summary {
  all: SummaryRow;
  kinds: SummaryRow[];
  months: SummaryRow[];
  areas: SummaryRow[];
}

/** A season's incidents counted by kind, month and area, without names. Rows without any are left out. Pure. @param monthWords YYYY-MM as people read it */
export function summarise(all: readonly Counted[], monthWords: (month: string) => string): Summary {
  const by = (key: (one: Counted) => string, order: readonly string[], label: (key: string) => string): SummaryRow[] =>
    order
      .map((value) =>
        rowOf(
          label(value),
          all.filter((one) => key(one) === value),
        ),
      )
      .filter((row) => row.count > 0);
  const distinct = (key: (one: Counted) => string) => [...new Set(all.map(key))].sort();
  return {
    all: rowOf('All', all),
    kinds: [
      ...by(
        (one) => one.kind ?? '',
        Object.keys(KINDS),
        (kind) => KINDS[kind as IncidentKind],
      ),
      ...by(
        (one) => one.kind ?? '',
        [''],
        () => 'Cannot be opened',
      ),
    ],
    months: by(
      (one) => one.month,
      distinct((one) => one.month),
      monthWords,
    ),
    areas: by(
      (one) => one.areaName,
      distinct((one) => one.areaName),
      (name) => name,
    ),
  };
}

function rowOf(label: string, some: readonly Counted[]): SummaryRow {
  return { label, count: some.length, called: some.filter((one) => one.called).length, few: some.length > 0 && some.length < FEW };
}
