import { median, millis } from './pages.js';
import type { Running } from './process.js';
import type { RegionFolder } from './region-folder.js';

const POINTS = 50_000;
const ROUNDS = 5;
const USUAL_TURNS = 200;

/** A hilly round of 50,000 points, some 35 km long, with a sensor's noise. */
export function largeFile(round: number): Buffer {
  const points = Array.from({ length: POINTS }, (_, index) => {
    const turn = (index / POINTS) * 2 * Math.PI;
    const noise = ((index * 7919) % 100) / 100 - 0.5;
    const lat = 37.44 + 0.05 * Math.sin(turn) + noise * 1e-5;
    const lon = -85.63 + 0.062 * Math.cos(turn) + noise * 1e-5 + round * 1e-4;
    const ele = 240 + 80 * Math.sin(turn * 5) + noise * 2;
    return `<trkpt lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"><ele>${ele.toFixed(1)}</ele><time>2026-01-01T00:00:00Z</time></trkpt>`;
  });
  const head = '<?xml version="1.0"?><gpx version="1.1" creator="bench" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>';
  return Buffer.from(`${head}${points.join('')}</trkseg></trk></gpx>`);
}

/**
 * Seconds from sending a walk with a 50,000-point file until its page is there, and what a second visitor's page takes meanwhile next to
 * its usual time: medians of several rounds.
 */
export async function gpxFigures(waymeet: Running, region: RegionFolder): Promise<{ seconds: number; others: number }> {
  const usual: number[] = [];
  for (let turn = 0; turn < USUAL_TURNS; turn += 1) usual.push(await millis(waymeet.url));
  const seconds: number[] = [];
  const meanwhile: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    let busy = true;
    const upload = postWalk(waymeet, region, round).finally(() => {
      busy = false;
    });
    while (busy) meanwhile.push(await millis(waymeet.url));
    seconds.push(await upload);
  }
  return { seconds: median(seconds), others: median(meanwhile) / median(usual) };
}

async function postWalk(waymeet: Running, region: RegionFolder, round: number): Promise<number> {
  const form = new FormData();
  const fields = {
    csrf: region.csrf,
    intent: 'post',
    area: 'lantern-hills',
    routeName: `Long round ${round}`,
    locality: 'Lantern Hills',
    date: new Date(Date.now() + (40 + round) * 86_400_000).toISOString().slice(0, 10),
    gather: '08:00',
    setOff: '08:15',
    meetingPoint: 'Chapel gate',
    landmark: 'the stone mounting block',
    capacity: '20',
    'explain[toilets]': 'At the chapel only',
    'explain[water]': 'Bring your own',
    'explain[dusk]': 'Head torches for all',
    'explain[dawn]': 'Head torches for all',
  };
  for (const [name, value] of Object.entries(fields)) form.set(name, value);
  form.set('gpx', new Blob([largeFile(round)]), 'round.gpx');
  const began = performance.now();
  const headers = { cookie: region.cookie, origin: waymeet.url };
  const answer = await fetch(`${waymeet.url}/lead/walks/new`, { method: 'POST', headers, body: form, redirect: 'manual' });
  const id = /\/lead\/walks\/(\d+)$/.exec(answer.headers.get('location') ?? '')?.[1];
  if (answer.status !== 303 || !id) throw new Error(`the walk was answered ${answer.status}`);
  await millis(`${waymeet.url}/walks/${id}`);
  return (performance.now() - began) / 1000;
}
