import type { GroupSettings } from '../settings/rules.js';
import type { CheckItem } from '../walkcheck/rules.js';
import { when } from '../web/when.js';
import { mayBe } from './make.js';
import type { DateRow } from './rows.js';

const LIGHT_WORDS = { light: 'in daylight', twilight: 'after sunset', dark: 'in the dark' } as const;
const LIGHT_FLAGS = { light: 'good', twilight: 'caution', dark: 'danger' } as const;

export interface Chosen {
  dates: string[];
  as: 'draft' | 'posted';
  /** What is wrong with a row, by date. */
  faults: Map<string, string>;
}

/** The dates of a series as the second step shows them; what is found on every date stands once, above. */
export function rowsModel(rows: DateRow[], chosen: Chosen, zone: string, settings: GroupSettings) {
  const possible = rows.filter((row) => row.blocked === '');
  const shared = possible.length > 1 ? sharedItems(possible) : [];
  return {
    shared: shared.map(itemModel),
    sharedOpen: shared.some((item) => item.kind === 'mend' && item.reason === ''),
    rows: rows.map((row) => rowModel(row, shared, chosen, zone, settings)),
    none: possible.length === 0,
  };
}

function sharedItems(rows: DateRow[]): CheckItem[] {
  const [first, ...others] = rows;
  return (first?.check ?? []).filter((item) => others.every((row) => row.check.some((one) => same(one, item))));
}

function same(one: CheckItem, other: CheckItem): boolean {
  return one.key === other.key && one.title === other.title && one.reason === other.reason;
}

function itemModel({ title, kind, reason, mends }: CheckItem) {
  const flag = kind === 'think' ? { word: 'Think', flag: 'caution' } : { word: 'Mend', flag: 'danger' };
  return { title, mends, reason, ...(reason === '' ? flag : { word: 'Explained', flag: 'good' }) };
}

function rowModel(row: DateRow, shared: CheckItem[], chosen: Chosen, zone: string, settings: GroupSettings) {
  const gather = row.facts && row.blocked === '' ? when(row.facts.gatherAt, zone, settings) : null;
  return {
    date: row.date,
    // No clock where the walk can't be: the date alone, from midnight of a clock without a zone.
    day: when(Date.parse(row.date), 'UTC', settings).fullDate,
    gather,
    blocked: row.blocked,
    cancelled: row.cancelled,
    checked: chosen.dates.includes(row.date),
    error: chosen.faults.get(row.date),
    draftOnly: row.blocked === '' && row.open.length > 0,
    items: row.check.filter((item) => !shared.some((one) => same(one, item))).map(itemModel),
    light: row.light && {
      word: LIGHT_WORDS[row.light.is],
      flag: LIGHT_FLAGS[row.light.is],
      back: when(row.light.back, zone, settings).clock,
      set: row.light.set === null ? null : when(row.light.set, zone, settings).clock,
    },
    hours: row.doubled?.choices.map((one) => {
      const shown = when(one.at, zone, settings);
      return { value: one.value, label: `${shown.clock} ${shown.zone} (UTC${one.value})`, checked: one.chosen };
    }),
  };
}

/** Those ticked at first: whatever can be posted as it is, where the leader is not out already. */
export function firstTicks(rows: DateRow[]): string[] {
  return rows.filter((row) => mayBe(row, 'posted') && !isOutAlready(row)).map((row) => row.date);
}

/** The leader leads another walk in the same hours. */
function isOutAlready({ check }: DateRow): boolean {
  return check.some((item) => item.key === 'ownclash');
}
