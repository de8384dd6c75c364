import { rmSync } from 'node:fs';
import { toMetres } from '../../server/calc/measure.js';
import { addDays } from '../../server/calc/month.js';
import { readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { saveSettings } from '../../server/settings/store.js';
import { median, millis } from './pages.js';
import { startWaymeet } from './process.js';
import { queriesPerPage } from './queries.js';
import { type RegionFolder, regionFolder } from './region-folder.js';

const AREAS = 50;
const AREAS_LAID = 5;
/** As many walks behind as ahead: the board counts the latter, and who signed up for the latest of the former. */
const REGION = { yearsBack: 1, walksPerYear: 20_000, signUpsPerWalk: 2, leaders: 500, comingWalks: 20_000, comingDays: 330 };
const EVENT_IN_DAYS = 300;
const SEASON_WEEKS = 36;
const TURNS = 40;
const PATH = '/coordinate?months=12';

export interface BoardFigures {
  /** The first answer after a write, ms. */
  ms: number;
  /** Of the page, uncompressed, kB of 1000 bytes. */
  kB: number;
  statements: number;
}

/** The coverage board of 50 areas by 12 months in the longest season, each answer after a write of its own: its time, its size, and how many statements it runs. */
export async function boardFigures(): Promise<BoardFigures> {
  const now = Date.now();
  const region = await regionFolder({ now, ...REGION });
  spread(region, now);
  const waymeet = await startWaymeet(region.dataDir);
  const headers = { cookie: region.cookie };
  const times: number[] = [];
  for (let turn = 0; turn < TURNS; turn += 1) {
    await changeArea(waymeet.url, region, turn);
    times.push(await millis(waymeet.url + PATH, headers));
  }
  const page = await (await fetch(waymeet.url + PATH, { headers })).text();
  await waymeet.stop();
  const statements = (await queriesPerPage(region, [PATH]))[PATH] ?? 0;
  rmSync(region.dataDir, { recursive: true });
  return { ms: median(times.slice(TURNS / 2)), kB: Buffer.byteLength(page) / 1000, statements };
}

/** Makes ten areas of each, shares walks and leaders out among them, and sets the event. */
function spread({ dataDir }: RegionFolder, now: number): void {
  const folder = openFolder(readConfig({ DATA_DIR: dataDir, LOG_LEVEL: 'error' }), () => {});
  const { db } = folder;
  db.raw.exec(`
    INSERT INTO areas (slug, name, lat, lon, radius_metres, zone, emergency_number, created_at)
      SELECT a.slug || '-' || j.value, a.name || ' ' || j.value, a.lat, a.lon, a.radius_metres, a.zone, a.emergency_number, a.created_at
      FROM json_each('[2,3,4,5,6,7,8,9,10]') j, areas a;
    UPDATE walks SET area_id = area_id + ${AREAS_LAID} * ((id / ${AREAS_LAID}) % ${AREAS / AREAS_LAID});
    UPDATE leaders SET area_id = area_id + ${AREAS_LAID} * ((person_id / ${AREAS_LAID}) % ${AREAS / AREAS_LAID});`);
  const eventDay = addDays(new Date(now).toISOString().slice(0, 10), EVENT_IN_DAYS);
  db.write((tx) => saveSettings(tx, { eventDay, eventDayMetres: toMetres(22, 'mi'), seasonWeeks: SEASON_WEEKS }));
  folder.close();
}

/** An area wants another number of walks each time: what the board before it showed is stale. */
async function changeArea(url: string, region: { cookie: string; csrf: string }, turn: number): Promise<void> {
  const fields = { name: 'East Fork', zone: 'America/Chicago', emergencyNumber: '911', lat: '41.2', lon: '-87.2', radius: '8', floor: '' };
  const answer = await fetch(`${url}/coordinate/areas/east-fork`, {
    method: 'POST',
    headers: { cookie: region.cookie, origin: url },
    body: new URLSearchParams({ csrf: region.csrf, ...fields, weekdayWalks: String(turn % 3) }),
    redirect: 'manual',
  });
  if (answer.status !== 303) throw new Error(`the area was answered ${answer.status}`);
}
