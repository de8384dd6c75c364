import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { eq } from 'drizzle-orm';
import { buildApp } from '../../server/app.js';
import { readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { people, walks } from '../../server/db/schema/index.js';
import { sessionCookie } from '../../server/people/cookies.js';
import { startSession } from '../../server/people/sessions.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { layRegion, type RegionSize } from './region.js';

export interface RegionFolder {
  dataDir: string;
  /** The cookie of someone who leads and coordinates, and the form token that goes with it. */
  cookie: string;
  csrf: string;
  /** A coming walk to read, and one with room for every sign-up the bench makes. */
  walkId: number;
  roomyId: number;
  secondRoomyId: number;
}

/** Lays a region into a data folder of its own and closes it, ready for the service to open. */
export async function regionFolder(size: RegionSize): Promise<RegionFolder> {
  const dataDir = mkdtempSync(join(tmpdir(), 'waymeet-bench-'));
  const config = readConfig({ DATA_DIR: dataDir, LOG_LEVEL: 'error' });
  const folder = openFolder(config, () => {});
  const { db, sealer } = folder;
  layRegion(db, sealer, size);
  // A group that is so many years old has forgotten on time every day: the service is not to catch up while it is measured.
  const { app, services } = await buildApp({ config, data: folder, now: () => size.now });
  await forgetOnTime(services, 0);
  await app.close();
  const coming = db.q.query.walks
    .findMany({
      where: (walk, { and, eq: is, gt }) => and(is(walk.state, 'posted'), gt(walk.gatherAt, size.now + 3 * 86_400_000)),
      orderBy: (walk, { asc }) => asc(walk.gatherAt),
    })
    .sync();
  const [walk, roomy, second] = [coming[0], coming.at(-1), coming.at(-2)];
  if (!walk || !roomy || !second) throw new Error('the region has no coming walks');
  const secret = () => `bench-session-${process.pid}`;
  const token = db.write((tx) => {
    tx.update(people).set({ coordinator: true }).where(eq(people.id, 1)).run();
    tx.update(walks).set({ capacity: 500 }).where(eq(walks.id, roomy.id)).run();
    return startSession(tx, { now: () => size.now, secret }, 1);
  });
  folder.close();
  return {
    dataDir,
    cookie: `${sessionCookie(config)}=${token}`,
    csrf: sealer.derive('form', token),
    walkId: walk.id,
    roomyId: roomy.id,
    secondRoomyId: second.id,
  };
}
