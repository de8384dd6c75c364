import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { ROOT } from '../../server/config.js';

export interface Running {
  url: string;
  child: ChildProcess;
  /** Seconds from starting the process to its first answer. */
  startSeconds: number;
  stop: () => Promise<void>;
}

/** Starts the compiled service on a data folder and waits for its first page. */
export async function startWaymeet(dataDir: string, set: Record<string, string> = {}): Promise<Running> {
  const port = await freePort();
  const env = { ...process.env, DATA_DIR: dataDir, PORT: String(port), RATE_LIMIT: 'off', LOG_LEVEL: 'error', NOTICE_HOLD: '0', ...set };
  const began = performance.now();
  const child = spawn(process.execPath, startArguments(), { env, stdio: ['ignore', 'ignore', 'inherit'] });
  const url = `http://127.0.0.1:${port}`;
  await firstAnswer(`${url}/`, child);
  return { url, child, startSeconds: (performance.now() - began) / 1000, stop: () => stopped(child) };
}

/** What `npm start` gives node: the bench measures what operators run. */
function startArguments(): string[] {
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: { start: string } };
  return scripts.start
    .split(' ')
    .slice(1)
    .map((part) => (part.endsWith('.js') ? join(ROOT, part) : part));
}

/** Starts bare Fastify with the bytes of files, each under its path. */
export async function startBare(pages: [path: string, file: string][]): Promise<Running> {
  const began = performance.now();
  const child = spawn(process.execPath, [join(ROOT, 'tests/bench/bare.mjs'), JSON.stringify(pages)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const port = await new Promise<string>((resolve, reject) => {
    child.stdout?.once('data', (text) => resolve(String(text).trim()));
    child.once('exit', () => reject(new Error('bare Fastify did not start')));
  });
  return { url: `http://127.0.0.1:${port}`, child, startSeconds: (performance.now() - began) / 1000, stop: () => stopped(child) };
}

async function firstAnswer(url: string, child: ChildProcess): Promise<void> {
  for (;;) {
    if (child.exitCode !== null) throw new Error('the service did not start');
    const answer = await fetch(url).catch(() => null);
    if (answer?.ok) return;
    await new Promise((wait) => setTimeout(wait, 10));
  }
}

function stopped(child: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    child.once('exit', () => resolve());
    child.kill('SIGTERM');
  });
}

function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
}

/** Resident memory of a process in MB, as the kernel counts it. */
export function residentMB(pid: number): number {
  const line = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
  return Number(line?.[1] ?? 0) / 1024;
}
