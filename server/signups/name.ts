import type { Faults } from '../web/forms.js';

export const MOST_NAME = 80;

/** What is said of a name that two people of a party would have. */
export function twice(name: string): string {
  return `${name} is in this party already. If two people share a name, add a middle name or initial.`;
}

/** The name as it was typed; where it can't be one, a sentence goes to the field's faults. */
export function readName(name: string, field: string, missing: string, faults: Faults): string {
  if (!/\p{L}/u.test(name)) faults[field] = missing;
  else if (name.length > MOST_NAME) faults[field] = `Keep the name under ${MOST_NAME} characters.`;
  return name;
}
