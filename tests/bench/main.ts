import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { formFields } from '../support/fields.js';
import { boardFigures } from './board.js';
import { gpxFigures } from './gpx.js';
import { gridFigures } from './grid.js';
import { arrivals, openSink, plainMails } from './notices.js';
import { firstRatio, keptRatio, median, millis } from './pages.js';
import { residentMB, startBare, startWaymeet } from './process.js';
import { matchMillis, proposalsSeconds } from './proposals.js';
import { queriesPerPage } from './queries.js';
import { type RegionFolder, regionFolder } from './region-folder.js';
import { rollTapMs } from './roll.js';
import { postSignUp, signUpRatio } from './signups.js';

const FIVE_YEARS = { yearsBack: 5, walksPerYear: 1200, signUpsPerWalk: 10, leaders: 200, comingWalks: 60 };
const MAILS = 300;
const TURNS = 120;

const figures: Record<string, number> = {};

function say(name: string, value: number, what: string): void {
  figures[name] = Number(value.toFixed(3));
  process.stdout.write(`${name.padEnd(16)} ${value.toFixed(2).padStart(8)}  ${what}\n`);
}

function pagesOf(region: RegionFolder): string[] {
  return [
    '/',
    `/walks/${region.walkId}`,
    '/walks.json',
    '/lead',
    `/lead/walks/${region.walkId}`,
    '/coordinate',
    '/coordinate/leaders',
    '/coordinate/mail',
  ];
}

async function fiveYears(): Promise<void> {
  const region = await regionFolder({ now: Date.now(), ...FIVE_YEARS });
  const sink = await openSink();
  const waymeet = await startWaymeet(region.dataDir, { SMTP_URL: sink.url });
  say('startSeconds', waymeet.startSeconds, 'from starting the process to its first page, in seconds (five years of data)');

  const pages: [string, string, string][] = [
    ['timetable', '/', 'timetable page next to bare Fastify sending the same bytes'],
    ['walkPage', `/walks/${region.walkId}`, 'walk page next to bare Fastify sending the same bytes'],
  ];
  const files: [string, string][] = [];
  for (const [name, path] of pages) {
    const file = join(region.dataDir, `${name}.html`);
    writeFileSync(file, await (await fetch(waymeet.url + path)).text());
    files.push([path, file]);
  }
  const bare = await startBare(files);
  for (const [name, path, what] of pages) {
    say(name, await keptRatio(waymeet, bare, path), `${what}: kept`);
    say(
      `${name}First`,
      await firstRatio(waymeet, bare, path, () => postSignUp(waymeet, region.roomyId)),
      `${what}: first answer after a change`,
    );
  }
  await bare.stop();

  process.stdout.write(`  ${residentMB(waymeet.child.pid ?? 0).toFixed(0)} MB resident after the pages\n`);
  say(
    'signUpMailed',
    await signUpRatio(waymeet, region.roomyId, region.dataDir),
    'accepted sign-ups next to bare durable commits, while their mail is delivered',
  );
  say('notices', await noticesRatio(region, waymeet, sink), 'notices delivered next to nodemailer alone to the same sink');
  say('rssMB', residentMB(waymeet.child.pid ?? 0), 'resident memory after all that, in MB');
  await waymeet.stop();
  await sink.close();

  // Nothing listens there: the outbox rests, and what is measured is the sign-up alone.
  const mailAway = await startWaymeet(region.dataDir, { SMTP_URL: 'smtp://127.0.0.1:9' });
  say(
    'signUp',
    await signUpRatio(mailAway, region.secondRoomyId, region.dataDir),
    'accepted sign-ups next to bare durable commits of one row, mail waiting',
  );
  const gpx = await gpxFigures(mailAway, region);
  say('gpxSeconds', gpx.seconds, 'from sending a walk with a 50,000-point file to its page, in seconds');
  say('gpxOthers', gpx.others, "a second visitor's page meanwhile next to its usual time");
  process.stdout.write(`  ${residentMB(mailAway.child.pid ?? 0).toFixed(0)} MB resident after sign-ups and route files\n`);
  await mailAway.stop();

  const queries = await queriesPerPage(region, pagesOf(region));
  for (const [path, count] of Object.entries(queries)) process.stdout.write(`  ${String(count).padStart(3)} statements  ${path}\n`);
  rmSync(region.dataDir, { recursive: true });
}

/** Waits for the mail of the sign-ups to be through, then edits the meeting point of the fullest walk and counts what arrives. */
async function noticesRatio(
  region: RegionFolder,
  waymeet: Awaited<ReturnType<typeof startWaymeet>>,
  sink: Awaited<ReturnType<typeof openSink>>,
): Promise<number> {
  await quiet(sink);
  const body = sink.lastMail();
  const ratios: number[] = [];
  for (let round = 1; round <= 3; round += 1) {
    const plain = await plainMails(sink, body, MAILS);
    const arriving = await arrivals(sink, MAILS, () => editMeetingPoint(region, waymeet.url, round));
    await quiet(sink);
    ratios.push(arriving / plain);
  }
  return median(ratios);
}

async function quiet(sink: { count: () => number }): Promise<void> {
  let before = -1;
  while (sink.count() !== before) {
    before = sink.count();
    await new Promise((wait) => setTimeout(wait, 1500));
  }
}

async function editMeetingPoint(region: RegionFolder, url: string, round: number): Promise<void> {
  const path = `/lead/walks/${region.roomyId}/edit`;
  const form = await (await fetch(url + path, { headers: { cookie: region.cookie } })).text();
  const fields = new URLSearchParams();
  const changed = { ...formFields(form), csrf: region.csrf, intent: 'save', meetingPoint: `North gate ${round}` };
  for (const [name, value] of Object.entries(changed)) for (const one of [value].flat()) fields.append(name, one);
  const answer = await fetch(url + path, {
    method: 'POST',
    headers: { cookie: region.cookie, origin: url },
    body: fields,
    redirect: 'manual',
  });
  if (answer.status !== 303) throw new Error(`the edit was answered ${answer.status}`);
}

/** The slowest page's time with ten years of data over its time with one: 1 is "does not grow". */
async function growth(): Promise<void> {
  const slowest: Record<string, number[]> = {};
  for (const yearsBack of [1, 10]) {
    const region = await regionFolder({ now: Date.now(), ...FIVE_YEARS, yearsBack });
    const waymeet = await startWaymeet(region.dataDir);
    for (const [index, path] of pagesOf(region).entries()) {
      const times: number[] = [];
      for (let turn = 0; turn < TURNS; turn += 1) times.push(await millis(waymeet.url + path, { cookie: region.cookie }));
      const name = path.replace(/\d+/, ':walk');
      slowest[name] = [...(slowest[name] ?? []), median(times.slice(index === 0 ? 5 : 2))];
    }
    await waymeet.stop();
    rmSync(region.dataDir, { recursive: true });
  }
  const grown = Object.entries(slowest).map(([path, [one = 1, ten = 1]]) => ({ path, ratio: ten / one }));
  for (const { path, ratio } of grown) process.stdout.write(`  ${ratio.toFixed(2).padStart(5)} times  ${path}\n`);
  say('growth', Math.max(...grown.map((page) => page.ratio)), 'the page that grows most, ten years of data over one');
}

async function grid(): Promise<void> {
  const { ms, kB, statements } = await gridFigures();
  say('gridMs', ms, 'commitment grid of 1,000 leaders by 24 months: first answer after a change, in ms');
  process.stdout.write(`  ${kB.toFixed(0)} kB, ${statements} statements\n`);
}

async function board(): Promise<void> {
  const { ms, kB, statements } = await boardFigures();
  say('boardMs', ms, 'coverage board of 50 areas by 12 months, 20,000 walks in them: first answer after a change, in ms');
  process.stdout.write(`  ${kB.toFixed(0)} kB, ${statements} statements\n`);
}

await fiveYears();
await growth();
await grid();
await board();
process.stdout.write(`  ${matchMillis().toFixed(0)} ms to match a year's walks of 50 areas to their needs\n`);
const { seconds, pairs } = await proposalsSeconds();
say('proposalsSeconds', seconds, `200 leaders, 300 gaps and ${pairs} pairs that could be, to the proven optimum, in seconds`);
say('rollTapMs', await rollTapMs(), 'from a tap on a roll of 150 people, off line, until it is painted, in ms');
const at = process.argv.indexOf('--json');
if (at > 0) writeFileSync(process.argv[at + 1] ?? 'bench.json', `${JSON.stringify(figures, null, 2)}\n`);
