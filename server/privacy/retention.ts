import { setTimeout } from 'node:timers/promises';
import { forgetOldCopies } from '../db/folder.js';
import { forgetApplications } from '../joining/erase.js';
import type { Services } from '../services.js';
import { oweContext } from '../walks/save.js';
import {
  type Forget,
  forgetAsks,
  forgetAudit,
  forgetHazards,
  forgetIncidents,
  forgetKeptContacts,
  forgetLinks,
  forgetMessages,
  forgetNotices,
  forgetOffers,
  forgetPeople,
  forgetQuiz,
  forgetRolls,
  forgetSessions,
  forgetSignUps,
  forgetTraces,
  forgetWalkContacts,
} from './forget.js';
import { fillAllFreed } from './freed-places.js';
import { cutoff, type KeptKind, timetable } from './timetable.js';
import { emptyWal } from './tombstones.js';

/** So many rows a transaction: pages are answered between them. */
const BATCH = 300;
/** After each full batch: a write drops every page that is kept, so years of catching up must not come in one go. */
const PAUSE_MS = 100;
/** Erasing a person looks through all mail, some times over: pages are answered after a few. */
const PEOPLE_BATCH = 3;

interface Step {
  forget: Forget;
  /** The rows say themselves until when they are kept. */
  hasEnd?: true;
  batch?: number;
}

type InDatabase = Exclude<KeptKind, 'copies'>;

/** One step for each line of the timetable. */
function steps(services: Services, now: number): Record<InDatabase, Step> {
  return {
    contacts: { forget: forgetWalkContacts },
    keptContacts: { forget: forgetKeptContacts, hasEnd: true },
    signUps: { forget: forgetSignUps },
    incidents: { forget: forgetIncidents },
    applications: { forget: forgetApplications },
    traces: { forget: forgetTraces },
    notices: { forget: forgetNotices(now) },
    rolls: { forget: forgetRolls },
    messages: { forget: forgetMessages },
    hazards: { forget: forgetHazards },
    offers: { forget: forgetOffers },
    asks: { forget: forgetAsks },
    sessions: { forget: forgetSessions, hasEnd: true },
    links: { forget: forgetLinks },
    people: {
      forget: forgetPeople(services, { now, applications: cutoff(timetable(services.settings()).applications.period, now) }),
      batch: PEOPLE_BATCH,
    },
    quiz: { forget: forgetQuiz },
    audit: { forget: forgetAudit },
  };
}

/**
 * Forgets whatever is due by the timetable, and then empties the write-ahead log, so that it holds nothing of it either. A step that
 * fails is logged, and keeps no other from its turn. Ends early, without a word, where the service stops meanwhile.
 * @param pauseMs between one batch and the next
 */
export async function forgetOnTime(services: Services, pauseMs = PAUSE_MS): Promise<void> {
  const { db, config, log } = services;
  const now = services.now();
  const lines = timetable(services.settings());
  const attempt = async (kind: string, run: () => unknown) => {
    if (!db.raw.open) return;
    try {
      await run();
    } catch (error) {
      log.error({ err: error, kind }, 'what was due could not be forgotten');
    }
  };
  for (const [kind, step] of Object.entries(steps(services, now)) as [InDatabase, Step][]) {
    const due = step.hasEnd ? now : cutoff(lines[kind].period, now);
    await attempt(kind, () => inBatches(services, step, due, pauseMs));
  }
  await attempt('copies', () => forgetOldCopies(config.dataDir, now));
  await attempt('places that came free', () => db.write((tx) => fillAllFreed(tx, oweContext(services))) > 0 && services.mailOwed());
  await attempt('the write-ahead log', () => emptyWal(db));
}

async function inBatches({ db }: Services, { forget, batch = BATCH }: Step, due: number, pauseMs: number): Promise<void> {
  while (db.raw.open) {
    const forgotten = db.write((tx) => forget(tx, due, batch));
    if (forgotten < batch) return;
    await setTimeout(pauseMs);
  }
}
