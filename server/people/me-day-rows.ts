import type { ContactOpening } from '../contacts/openings.js';
import type { Services } from '../services.js';
import { walkTitle } from '../walks/title.js';
import { when } from '../web/when.js';
import type { Held } from './me-held.js';

/** What the page shows of days on which somebody turned up without having signed up, and of what was written down about them or by them. */
export function dayRows(services: Services, held: Pick<Held, 'turnedUp' | 'incidents'>) {
  const settings = services.settings();
  const named = (walk: Held['turnedUp'][number] | Held['incidents'][number]) => ({
    href: `/walks/${walk.walkId}`,
    title: walkTitle(walk, settings.units),
    day: when(walk.gatherAt, walk.zone, settings).fullDate,
  });
  return {
    turnedUp: held.turnedUp.map((one) => ({ ...named(one), name: one.name, hasContact: one.hasContact })),
    incidents: held.incidents.map((one) => ({
      ...named(one),
      // What it is to them: written about whom they are, or by them.
      about: one.about !== null && !one.byYou,
      byYou: one.byYou,
      open: one.state === 'open',
    })),
  };
}

/** Rows of those who turned up have numbers of their own: negative ones, so that a list of both names each by its number. */
export function onTheDay({ turnedUp, openingsOnTheDay }: Held): { openings: ContactOpening[]; names: [number, string][] } {
  return {
    openings: openingsOnTheDay.map((one) => ({ ...one, memberId: -one.memberId })),
    names: turnedUp.map((one) => [-one.id, one.name]),
  };
}
