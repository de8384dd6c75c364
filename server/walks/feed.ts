import type { Services } from '../services.js';
import { fullWhen } from '../web/when.js';
import type { TimetableRow } from './timetable.js';
import { walkTitle } from './title.js';

/** The coming walks as an Atom feed (RFC 4287), the latest changed first: a reader sees what is new or moved. */
export function feedModel(rows: TimetableRow[], path: string, services: Services) {
  const settings = services.settings();
  const home = services.config.baseUrl;
  const iso = (at: number) => new Date(at).toISOString();
  const latest = [...rows].sort((a, b) => b.updatedAt - a.updatedAt);
  return {
    home,
    self: home + path,
    groupName: settings.groupName,
    updated: iso(latest[0]?.updatedAt ?? services.now()),
    entries: latest.map((row) => ({
      href: `${home}/walks/${row.id}`,
      title: walkTitle(row, settings.units),
      updated: iso(row.updatedAt),
      summary: [
        row.state === 'cancelled' ? `Cancelled: ${row.cancelReason}.` : row.moved === '' ? '' : `${row.moved}.`,
        `Gather ${fullWhen(row.gatherAt, row.zone, settings)}: ${row.meetingPoint}, ${row.landmark}.`,
      ]
        .filter((part) => part !== '')
        .join(' '),
    })),
  };
}
