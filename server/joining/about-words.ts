import { lengthWords } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import type { About } from './about-store.js';
import { firstAid } from './first-aid.js';
import { dayNames, listed } from './weekdays.js';

/** What a leader says of themself as one, for a coordinator: a few words each, nothing for what they left open. Pure. @param zone of the group */
export function aboutWords(
  about: About,
  areas: { id: number; name: string }[],
  around: { now: number; settings: GroupSettings; zone: string },
): string[] {
  const others = areas.filter((area) => about.otherAreas.includes(area.id)).map((area) => area.name);
  const days = dayNames(about.days);
  return [
    others.length > 0 ? `also in ${listed(others)}` : '',
    days === '' ? '' : `on ${days}`,
    lengths(about, around.settings),
    firstAid(about.firstAidUntil, around)?.words ?? '',
    about.offersFirst ? 'shares first walks with new leaders' : '',
  ].filter((words) => words !== '');
}

function lengths({ shortestMetres, longestMetres }: About, { units }: GroupSettings): string {
  const [least, most] = [shortestMetres, longestMetres].map((metres) => (metres === null ? null : lengthWords(metres, units)));
  if (least && most) return `${least} to ${most}`;
  if (most) return `up to ${most}`;
  return least ? `${least} and more` : '';
}
