/** The days of the week by their numbers: 1 is Monday. */
export const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const;

/** "Saturday and Sunday", "any day"; empty where none is given. Pure. */
export function dayNames(days: number[]): string {
  if (days.length === WEEKDAYS.length) return 'any day';
  return listed(days.flatMap((day) => WEEKDAYS[day - 1] ?? []));
}

/** "a", "a and b", "a, b and c". Pure. */
export function listed(words: string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** Those of some typed words that are numbers of weekdays, in the week's order, each once. Pure. */
export function readDays(typed: string[]): number[] {
  return WEEKDAYS.flatMap((_, index) => (typed.includes(String(index + 1)) ? [index + 1] : []));
}

/** The days as boxes to tick. */
export function dayChoices(chosen: number[]): { value: string; label: string; checked: boolean }[] {
  return WEEKDAYS.map((label, index) => ({ value: String(index + 1), label, checked: chosen.includes(index + 1) }));
}
