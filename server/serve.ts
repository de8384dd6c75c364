import { buildApp } from './app.js';
import type { Config } from './config.js';
import { type DataFolder, openFolder } from './db/folder.js';
import { startJobs } from './jobs.js';
import { startOutbox } from './notices/outbox.js';
import { chooseTransport } from './notices/transport.js';
import { announceFirstRun } from './people/first-run.js';
import { eraseAgain } from './privacy/tombstones.js';

const STOP_WITHIN_MS = 4500;

export interface Serving {
  url: string;
  stop: () => Promise<void>;
}

/** Opens DATA_DIR, builds the service, listens, delivers mail, and stops in good order when told to. */
export async function serve(config: Config, before: (data: DataFolder) => void = () => {}): Promise<Serving> {
  // What the service writes is nobody else's to read.
  process.umask(0o077);
  const data = openFolder(config, (line) => process.stdout.write(`${line}\n`));
  const erasedAgain = eraseAgain(data.db, data.sealer, data.dataDir);
  if (erasedAgain > 0) process.stdout.write(`Erased again, because they were erased after this database was copied: ${erasedAgain}.\n`);
  before(data);
  const wake = { mail: () => {} };
  const { app, services, views } = await buildApp({ config, data, mailOwed: () => wake.mail() });
  const outbox = startOutbox(services, views, chooseTransport(config));
  wake.mail = outbox.nudge;
  const jobs = startJobs(services);
  announceFirstRun(services);
  const url = await app.listen({ port: config.port, host: config.host });

  let stopping: Promise<void> | undefined;
  const stop = () => {
    stopping ??= (async () => {
      jobs.stop();
      await Promise.race([Promise.all([app.close(), outbox.stop()]), new Promise((done) => setTimeout(done, STOP_WITHIN_MS).unref())]);
      data.close();
    })();
    return stopping;
  };
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      void stop().then(() => process.exit(0));
    });
  }
  return { url, stop };
}
