import type { FastifyBaseLogger } from 'fastify';
import type { Config } from './config.js';
import type { Db } from './db/open.js';
import type { Sealer } from './db/seal.js';
import type { GroupSettings } from './settings/rules.js';

/** The one clock: milliseconds since 1970 UTC. Tests hand in their own. */
export type Clock = () => number;

/** What every feature is given. Made once in app.ts. */
export interface Services {
  config: Config;
  db: Db;
  sealer: Sealer;
  now: Clock;
  /** A new unguessable secret: 256 bits as 43 address-safe characters. */
  secret: () => string;
  /** The group's settings as they stand. */
  settings: () => GroupSettings;
  /** Tells the outbox that mail may be due. */
  mailOwed: () => void;
  log: FastifyBaseLogger;
}
