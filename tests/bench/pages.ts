import autocannon from 'autocannon';
import type { Running } from './process.js';

const ROUNDS = 3;
const SECONDS = 3;
const CONNECTIONS = 10;
const FIRSTS = 150;

/** How many answers a second a page gives next to bare Fastify sending the same bytes: the median of rounds taken in turn. */
export async function keptRatio(waymeet: Running, bare: Running, path: string): Promise<number> {
  const ratios: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const plain = await answersASecond(`${bare.url}${path}`);
    ratios.push((await answersASecond(`${waymeet.url}${path}`)) / plain);
  }
  return median(ratios);
}

async function answersASecond(url: string): Promise<number> {
  const result = await autocannon({ url, connections: CONNECTIONS, duration: SECONDS });
  if (result.non2xx > 0 || result.errors > 0) throw new Error(`${url}: ${result.non2xx} refused, ${result.errors} errors`);
  return result.requests.average;
}

/** The same, for the first answer after a write dropped what was kept: one request at a time, each after a write of its own. */
export async function firstRatio(waymeet: Running, bare: Running, path: string, write: () => Promise<void>): Promise<number> {
  const ours: number[] = [];
  const plain: number[] = [];
  for (let turn = 0; turn < FIRSTS; turn += 1) {
    await write();
    ours.push(await millis(`${waymeet.url}${path}`));
    plain.push(await millis(`${bare.url}${path}`));
  }
  return median(plain) / median(ours);
}

/** Milliseconds to one whole answer. */
export async function millis(url: string, headers: Record<string, string> = {}): Promise<number> {
  const began = performance.now();
  const answer = await fetch(url, { headers });
  await answer.text();
  if (!answer.ok) throw new Error(`${url}: ${answer.status}`);
  return performance.now() - began;
}

export function median(values: number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}
