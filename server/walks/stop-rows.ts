import { type Faults, fieldId, groups, line, several, type Typed } from '../web/forms.js';
import { isBlank, SHORT_OPTION } from './form-stops.js';
import { STOP_KINDS } from './stops.js';

const FEWEST_ROWS = 2;

const LABELS: Record<string, string> = {
  kind: 'what there is',
  name: 'name',
  distance: 'how far along',
  minutes: 'minutes there',
  rejoins: 'where the short way comes back',
  length: 'length by the short way',
};

/** The stops' rows of the walk form: those typed, and always an empty one to fill. */
export function stopRows(typed: Typed, faults: Faults) {
  const rows = groups(typed, 'stops');
  const empty = rows.some(isBlank) ? 0 : 1;
  const missing = Math.max(empty, FEWEST_ROWS - rows.length);
  return [...rows, ...Array.from({ length: missing }, (): Typed => ({}))].map((row, index) => stopRow(row, index, faults));
}

function stopRow(row: Typed, index: number, faults: Faults) {
  const field = (name: string) => {
    const full = `stops[${index}][${name}]`;
    return { id: fieldId(full), name: full, value: line(row, name), error: faults[full] };
  };
  const ticked = several(row, 'kind');
  const fields = { name: field('name'), distance: field('distance'), minutes: field('minutes') };
  const short = { rejoins: field('rejoins'), length: field('length') };
  return {
    number: index + 1,
    kinds: {
      ...field('kind'),
      choices: STOP_KINDS.map((kind) => ({ kind, checked: ticked.includes(kind) })),
    },
    fields,
    short,
    isShort: ticked.includes(SHORT_OPTION) || Object.values(short).some((one) => one.value !== '' || one.error !== undefined),
  };
}

/** "Stop 2, name", for the error summary; '' for a field that is not a stop's. */
export function stopLabel(field: string): string {
  const found = /^stops\[(\d+)\]\[(\w+)\]$/.exec(field);
  return found ? `Stop ${Number(found[1]) + 1}, ${LABELS[found[2] ?? ''] ?? found[2]}` : '';
}
