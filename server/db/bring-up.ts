import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { ROOT } from '../config.js';
import { layDownQuestions } from '../quiz/lay-down.js';
import { chainOld } from '../waivers/chain-old.js';
import type { KeysAtHand } from './key-source.js';
import { openKeyring, readKeyring, sealerOf } from './keyring.js';
import { migrate, readMigrations } from './migrate.js';
import { wrap } from './open.js';

/** The step that began the chain of signatures. */
export const CHAIN_STEP = 3;
/** The step that made the tables of the quiz. */
const QUIZ_STEP = 4;

/**
 * Brings a database up to the program's version, with what of it needs the key: the third step chains the signatures that are older than
 * the chain, and writes where it ends. That happens in this step's transaction and never again. Keys that do not fit are refused before anything is changed.
 * @param before called where there is something to do to a database that holds data
 * @returns how many steps were made
 */
export function bringUp(
  raw: Database.Database,
  given: KeysAtHand,
  log: (message: string) => void,
  before: (from: number) => void = () => {},
): number {
  const chain = () => {
    // The keyring is laid down with it: whoever is killed after this step goes on with the key that the chain's end is written with.
    const chained = chainOld(raw, sealerOf(openKeyring(wrap(raw), given)));
    if (chained > 0) log(`Signatures from before the chain, chained now: ${chained}.`);
  };
  return migrate(raw, readMigrations(join(ROOT, 'migrations')), {
    before: (from) => {
      readKeyring(raw, given);
      before(from);
    },
    companions: new Map([
      [CHAIN_STEP, chain],
      [QUIZ_STEP, () => layDownQuestions(raw)],
    ]),
  });
}
