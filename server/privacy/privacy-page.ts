import type { FastifyReply, FastifyRequest } from 'fastify';
import { CLOSED_AT_LATEST_MS } from '../contacts/window.js';
import type { Services } from '../services.js';
import { page } from '../web/page.js';
import { periodWords, timetable } from './timetable.js';

const HOUR_MS = 60 * 60 * 1000;

/** What is kept of people, in plain words, with the timetable that the daily job runs by. */
export function privacyPage(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const settings = services.settings();
    const kept = Object.values(timetable(settings)).map((one) => ({
      ...one,
      until: `${periodWords(one.period)} ${one.since}; then ${one.end}`,
    }));
    return page(request, reply, 'privacy/page', {
      title: 'Your details',
      kept,
      group: settings.groupName,
      fromHours: settings.contactsFromHours,
      untilHours: settings.contactsUntilHours,
      unclosedHours: CLOSED_AT_LATEST_MS / HOUR_MS,
      contactsKept: periodWords({ days: settings.contactsKeptDays }),
    });
  };
}
