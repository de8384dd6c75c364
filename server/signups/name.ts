import type { Faults } from '../web/forms.js';

export const MOST_NAME = 80;

/** The name as it was typed; where it can't be one, a sentence goes to the field's faults. */
export function readName(name: string, field: string, missing: string, faults: Faults): string {
  if (!/\p{L}/u.test(name)) faults[field] = missing;
  else if (name.length > MOST_NAME) faults[field] = `Keep the name under ${MOST_NAME} characters.`;
  return name;
}
