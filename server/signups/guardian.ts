import { nameKey } from '../waivers/rules.js';
import type { Faults } from '../web/forms.js';
import type { Member } from './form.js';

/**
 * The place in the party of a minor's guardian: chosen by place, or named. Null, with a sentence beside the field, where it is no adult
 * of this party. Pure.
 * @param index the minor's own place
 */
export function guardianOf(typed: string, index: number, members: Pick<Member, 'name' | 'minor'>[], faults: Faults): number | null {
  const place = /^\d+$/.test(typed) ? Number(typed) : members.findIndex((one) => nameKey(one.name) === nameKey(typed));
  const guardian = typed === '' ? undefined : members[place];
  if (guardian && !guardian.minor) return place;
  const name = members[index]?.name || 'Someone under 18';
  faults[`members[${index}][guardian]`] = members.some((one) => !one.minor)
    ? `Choose the adult of your party who stays with ${name} all the way and signs for them.`
    : `${name} needs a guardian: add an adult who comes along, and choose them here.`;
  return null;
}
