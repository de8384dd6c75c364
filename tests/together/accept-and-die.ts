import { readConfig } from '../../server/config.js';
import { connect, type Db, wrap } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import type { Services } from '../../server/services.js';
import { settingsReader } from '../../server/settings/store.js';
import { answerOffer } from '../../server/together/offers.js';

/** A process that accepts the first offer of a database and is killed: inside the transaction, all of it done but the commit, or right after it. */
const [, , file = '', when] = process.argv;
const db = wrap(connect(file));
const write: Db['write'] = (work) =>
  db.write((tx) => {
    const result = work(tx);
    if (when === 'inside') process.kill(process.pid, 'SIGKILL');
    return result;
  });
const services = {
  config: readConfig({ BASE_URL: 'http://walks.example' }),
  db: { ...db, write },
  sealer: new Sealer(Buffer.alloc(32, 7)),
  // Long before the walk of the stage gathers.
  now: () => Date.UTC(2026, 10, 25, 13),
  settings: settingsReader(db),
  mailOwed: () => process.kill(process.pid, 'SIGKILL'),
} as unknown as Services;
answerOffer(services, 1, { accept: true, words: '' });
