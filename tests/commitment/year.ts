import { join } from 'node:path';
import type { FastifyBaseLogger } from 'fastify';
import { excuse, setMails, takeBackExcuse } from '../../server/commitment/change-store.js';
import { ROOT } from '../../server/config.js';
import { connect, type Db, wrap } from '../../server/db/open.js';
import { minutelyJobs } from '../../server/jobs.js';
import { approveLeader, bringBack, standDown } from '../../server/leaders/store.js';
import { startOutbox } from '../../server/notices/outbox.js';
import type { Mail, Transport } from '../../server/notices/transport.js';
import type { Services } from '../../server/services.js';
import { settingsReader } from '../../server/settings/store.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { Views } from '../../server/web/render.js';
import type { TestSite } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import type { Place } from './stage.js';

const views = new Views(join(ROOT, 'views'));

/** What becomes of the process as it hands a mail over: nothing, or it dies before the server has the mail, or after. */
export type Death = 'none' | 'before' | 'after';

/** The service as a process that can be killed and started again over the same file; its clock and its mail server are the test's. */
export interface Process {
  services: Services;
  /** Runs what the clock makes due, and delivers; false where it died at it. */
  turn: () => Promise<boolean>;
  kill: () => void;
}

export interface World {
  now: number;
  mailServerIsUp: boolean;
  /** Every mail the mail server took. */
  taken: { to: string; messageId: string; subject: string; at: number }[];
  /** Asked at each mail. */
  death: () => Death;
}

/** Starts the service over a database file. */
export function startProcess(site: TestSite, file: string, world: World): Process {
  const db: Db = wrap(connect(file));
  // The process is killed, never the machine: nothing is waited for, or a year would take minutes.
  db.raw.pragma('synchronous = OFF');
  let isAlive = true;
  const faults: unknown[] = [];
  // A process that was killed at it can't write any more; one that lives must not fault.
  const log = { warn: () => {}, info: () => {}, error: (fault: unknown) => isAlive && faults.push(fault) } as unknown as FastifyBaseLogger;
  const services: Services = { ...site.services, db, now: () => world.now, settings: settingsReader(db), mailOwed: () => {}, log };
  const die = () => {
    isAlive = false;
    db.close();
  };
  const take = (mail: Mail) => world.taken.push({ to: mail.to.address, messageId: mail.messageId, subject: mail.subject, at: world.now });
  const transport: Transport = {
    deliver: (mail) => {
      if (!world.mailServerIsUp)
        return Promise.resolve({ is: 'wait', why: 'ECONNREFUSED', code: 'ECONNREFUSED', unsure: false, connection: true });
      const death = world.death();
      if (death !== 'before') take(mail);
      if (death !== 'none') die();
      return Promise.resolve({ is: 'sent' });
    },
    breakOff: () => {},
    close: () => {},
  };
  const outbox = startOutbox(services, views, transport, { tickMs: 0, random: () => 0.5 });
  const jobs = minutelyJobs(services);
  return {
    services,
    turn: async () => {
      jobs();
      await outbox.drain();
      if (faults.length > 0) throw faults[0];
      return isAlive;
    },
    kill: () => {
      if (isAlive) die();
    },
  };
}

/** What leaders and the coordinator do, in the service. */
export const acts = {
  approve: ({ db }: Services, name: string, place: Place, now: number) =>
    db.write((tx) =>
      approveLeader(
        tx,
        { name, email: `${name}@waymeet.example`, phone: '+12025550110', areaId: place.areaId, pledge: 1, month: '2026-01' },
        1,
        now,
      ),
    ),
  post: (services: Services, leaderId: number, place: Place, date: string, routeName: string) =>
    saveNewWalk(services, walkFacts({ ...place, date, routeName }), leaderId, 'posted'),
  cancel: (services: Services, walkId: number, kind: 'safety' | 'other') => cancelWalk(services, walkId, 1, { kind, reason: 'Ice' }),
  excuse: ({ db }: Services, leaderId: number, month: string, now: number) =>
    db.write((tx) => excuse(tx, leaderId, { month, reason: 'Away' }, { by: leaderId, now })),
  takeBack: ({ db }: Services, leaderId: number, month: string, now: number) =>
    db.write((tx) => takeBackExcuse(tx, leaderId, month, { by: leaderId, now })),
  mails: ({ db }: Services, leaderId: number, wanted: boolean, now: number) =>
    db.write((tx) => setMails(tx, leaderId, wanted, { by: leaderId, now })),
  standDown: ({ db }: Services, leaderId: number, now: number) => db.write((tx) => standDown(tx, leaderId, 1, now)),
  bringBack: ({ db }: Services, leaderId: number, month: string, now: number) => db.write((tx) => bringBack(tx, leaderId, month, 1, now)),
};
