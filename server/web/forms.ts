/** What a visitor typed, as it came: strings, or lists and groups of them. */
export type Typed = { [field: string]: TypedValue };
export type TypedValue = string | TypedValue[] | Typed | undefined;

/** A sentence for each field that needs mending, by the field's name ("members[0][name]"). */
export type Faults = Record<string, string>;

/** One line of text: the last value sent, control characters out, trimmed, runs of blanks made one. */
export function line(typed: Typed, field: string): string {
  return clean(last(typed[field])).replace(/\s+/g, ' ').trim();
}

/** Several lines of text: line ends made \n, other control characters out, ends trimmed. */
export function lines(typed: Typed, field: string): string {
  return clean(last(typed[field]).replace(/\r\n?/g, '\n')).trim();
}

export function ticked(typed: Typed, field: string): boolean {
  return last(typed[field]) !== '';
}

/** Every value of a repeated field. */
export function several(typed: Typed, field: string): string[] {
  const value = typed[field];
  // A list longer than the parser's limit comes as numbered entries.
  const values = typeof value === 'object' ? Object.values(value) : [value];
  return values.filter((one): one is string => typeof one === 'string' && one !== '');
}

/** The groups of a numbered field (`members[0][…]`), in their order. */
export function groups(typed: Typed, field: string): Typed[] {
  const value = typed[field];
  if (value === undefined || typeof value === 'string') return [];
  const entries = Array.isArray(value) ? [...value.entries()] : Object.entries(value).map(([key, group]) => [Number(key), group] as const);
  return entries
    .filter((entry): entry is [number, Typed] => Number.isInteger(entry[0]) && typeof entry[1] === 'object' && !Array.isArray(entry[1]))
    .sort((a, b) => a[0] - b[0])
    .map((entry) => entry[1]);
}

/**
 * A decimal number as people type it; null where it is none. A comma before just three digits ("1,200") divides thousands, since nobody
 * measures a walk to a thousandth; any other comma is a decimal one ("8,2").
 */
export function figure(text: string): number | null {
  if (/^\d{1,3}(,\d{3})+(\.\d{1,3})?$/.test(text)) return Number(text.replaceAll(',', ''));
  return /^-?\d{1,7}([.,]\d{1,8})?$/.test(text) ? Number(text.replace(',', '.')) : null;
}

/** Whether a text is a date that the calendar has. */
export function isDate(text: string): boolean {
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text)) && new Date(text).toISOString().startsWith(text);
}

function last(value: TypedValue): string {
  const one = Array.isArray(value) ? value[value.length - 1] : value;
  return typeof one === 'string' ? one : '';
}

function clean(text: string): string {
  // Control characters, line separators and the marks that turn the direction of text have no place in what others will read;
  // lone halves of surrogate pairs can't be stored.
  return text.toWellFormed().replace(/[^\P{Cc}\t\n\r]|[\u2028\u2029\u202a-\u202e\u2066-\u2069]/gu, '');
}

/** The error summary's model: how many things to mend, and a link to each field. */
export function summary(
  faults: Faults,
  labels: (field: string) => string = () => '',
): { heading: string; errorList: { href: string; text: string }[] } | null {
  const entries = Object.entries(faults);
  if (entries.length === 0) return null;
  const count = entries.length;
  return {
    heading: count === 1 ? 'One thing to mend' : `${count <= 10 ? NUMBERS[count] : count} things to mend`,
    errorList: entries.map(([field, text]) => {
      const label = labels(field);
      return { href: `#${fieldId(field)}`, text: label ? `${label}: ${text}` : text };
    }),
  };
}

const NUMBERS = ['', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten'];

/** The id of a field's control: its name without brackets ("members-0-name"). */
export function fieldId(field: string): string {
  return field.replace(/\[/g, '-').replace(/\]/g, '');
}
