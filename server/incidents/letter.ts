import type { Letter } from '../joining/letters.js';

/** To every coordinator, at once: something was written down. Without names, and without what happened: mail is read over shoulders. Pure. */
export function incidentLetter(id: number, walk: { title: string; day: string }): Letter {
  return {
    // About nobody that a reader of the mail could tell.
    about: 0,
    subject: `An incident was recorded: ${walk.title}`,
    heading: `An incident was recorded on the ${walk.title}, ${walk.day}`,
    lines: ['What happened is sealed, and not in this mail. Look at it today, and decide who follows it up.'],
    link: { href: `/coordinate/incidents/${id}`, label: 'Look at it' },
  };
}
