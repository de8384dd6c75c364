import { rmSync } from 'node:fs';
import { median, millis } from './pages.js';
import { startWaymeet } from './process.js';
import { queriesPerPage } from './queries.js';
import { regionFolder } from './region-folder.js';

const LEADERS = 1000;
/** Two years of walks, some 25 a leader. */
const REGION = { yearsBack: 2, walksPerYear: 12_500, signUpsPerWalk: 0, leaders: LEADERS, comingWalks: 1000 };
const TURNS = 40;
const MONTHS_BACK = 22;

export interface GridFigures {
  /** The first answer after a write, ms. */
  ms: number;
  /** Of the page, uncompressed, kB of 1000 bytes. */
  kB: number;
  statements: number;
}

/** The commitment grid of 1,000 leaders by 24 months, each answer after a write of its own: its time, its size, and how many statements it runs. */
export async function gridFigures(): Promise<GridFigures> {
  const region = await regionFolder({ now: Date.now(), ...REGION });
  const from = new Date();
  from.setUTCMonth(from.getUTCMonth() - MONTHS_BACK, 1);
  const path = `/coordinate/leaders?months=24&from=${from.toISOString().slice(0, 7)}`;
  const waymeet = await startWaymeet(region.dataDir);
  const headers = { cookie: region.cookie };
  const times: number[] = [];
  for (let turn = 0; turn < TURNS; turn += 1) {
    await excuse(waymeet.url, region, turn);
    times.push(await millis(waymeet.url + path, headers));
  }
  const page = await (await fetch(waymeet.url + path, { headers })).text();
  await waymeet.stop();
  const statements = (await queriesPerPage(region, [path]))[path] ?? 0;
  rmSync(region.dataDir, { recursive: true });
  return { ms: median(times.slice(TURNS / 2)), kB: Buffer.byteLength(page) / 1000, statements };
}

/** A month excused anew each time: what the page before it showed is stale. */
async function excuse(url: string, region: { cookie: string; csrf: string }, turn: number): Promise<void> {
  const month = new Date().toISOString().slice(0, 7);
  const answer = await fetch(`${url}/coordinate/leaders/${turn + 2}/excuse`, {
    method: 'POST',
    headers: { cookie: region.cookie, origin: url },
    body: new URLSearchParams({ csrf: region.csrf, month, reason: 'Away' }),
    redirect: 'manual',
  });
  if (answer.status !== 303) throw new Error(`the excuse was answered ${answer.status}`);
}
