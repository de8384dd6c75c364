import { paceFigure } from '../calc/measure.js';
import { CLOSED_AT_LATEST_MS } from '../contacts/window.js';
import type { GroupSettings } from '../settings/rules.js';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

/** Figures of the handbook that the group may change, as the pages say them. Pure. @param holdMs how long a change waits for further edits */
export function handbookFigures(settings: GroupSettings, holdMs: number): Record<string, string> {
  return {
    slowPace: paceFigure(settings.slowPace, settings.units),
    fastPace: paceFigure(settings.fastPace, settings.units),
    hold: counted(Math.round(holdMs / MINUTE_MS), 'minute'),
    contactsFrom: counted(settings.contactsFromHours, 'hour'),
    contactsUntil: counted(settings.contactsUntilHours, 'hour'),
    contactsKept: counted(settings.contactsKeptDays, 'day'),
    closedLatest: counted(CLOSED_AT_LATEST_MS / HOUR_MS, 'hour'),
  };
}

function counted(count: number, unit: string): string {
  return `${count} ${unit}${count === 1 ? '' : 's'}`;
}

/** A page's HTML with the figures in it. Pure. @throws where a page names a figure that there is none of */
export function withFigures(html: string, figures: Record<string, string>): string {
  return html.replace(/\{(\w+)\}/g, (_, name: string) => {
    const figure = figures[name];
    if (figure === undefined) throw new Error(`the handbook names a figure that there is none of: ${name}`);
    return figure;
  });
}
