import { type Faults, fieldId } from '../web/forms.js';
import type { CheckItem } from './items.js';
import { unexplained } from './rules.js';

const NUMBERS = ['Nothing', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten'];

/** Each reason's field says what it is a reason for: read alone, it must still be understood. */
const REASON_LABELS: Record<string, string> = {
  toilets: 'Or say why the walk goes without toilets',
  water: 'Or say why the walk goes without water',
  dusk: 'Or say why you walk in the dark',
  dawn: 'Or say why you gather in the dark',
};

/** A row of the check, as a page shows it. */
interface CheckRow extends CheckItem {
  /** Shown with its reason alone. */
  settled: boolean;
  /** The mark's word, and its colour. */
  word: 'Mend' | 'Explained' | 'Think';
  flag: 'danger' | 'good' | 'caution';
  /** The reason's field; null where a page only shows it, or none may be given. */
  field: { id: string; name: string; label: string; error: string | undefined } | null;
}

export interface CheckModel {
  heading: string;
  mend: CheckRow[];
  think: CheckRow[];
  /** The page with the form; '' where this is it. */
  mendAt: string;
  /** Nothing is left to mend. */
  settled: boolean;
}

/** The check as parts/walk-check.hbs takes it: what still stands in the way first. @param mendAt where the form is, on a page without it: reasons are shown there, not asked for */
export function checkModel(items: CheckItem[], { mendAt = '', faults = {} }: { mendAt?: string; faults?: Faults } = {}): CheckModel {
  const open = unexplained(items);
  const explained = items.filter((item) => item.kind === 'mend' && item.reason !== '');
  const think = items.filter((item) => item.kind === 'think');
  const rows = (some: CheckItem[]) => some.map((item) => checkRow(item, mendAt === '', faults));
  return {
    heading: heading(open.length, explained.length, think.length),
    mend: rows([...open, ...explained]),
    think: rows(think),
    mendAt,
    settled: open.length === 0,
  };
}

function checkRow(item: CheckItem, form: boolean, faults: Faults): CheckRow {
  const mark = markOf(item);
  const settled = !form && item.reason !== '';
  if (!form || !item.explain) return { ...item, ...mark, settled, field: null };
  const name = `explain[${item.key}]`;
  return {
    ...item,
    ...mark,
    settled,
    field: {
      id: fieldId(name),
      name,
      label: REASON_LABELS[item.key] ?? 'Or say why you go ahead',
      error: faults[name] === item.title ? 'Mend it, or say it here.' : faults[name],
    },
  };
}

function markOf(item: CheckItem): Pick<CheckRow, 'word' | 'flag'> {
  if (item.kind === 'think') return { word: 'Think', flag: 'caution' };
  return item.reason === '' ? { word: 'Mend', flag: 'danger' } : { word: 'Explained', flag: 'good' };
}

/** "Two to mend, four to think about", "Nothing to mend" */
function heading(open: number, explained: number, think: number): string {
  const parts = [`${count(open)} to mend`];
  if (explained > 0) parts.push(`${count(explained)} explained`);
  if (think > 0) parts.push(`${count(think)} to think about`);
  return [parts[0], ...parts.slice(1).map((part) => part.toLowerCase())].join(', ');
}

function count(number: number): string {
  return NUMBERS[number] ?? String(number);
}
