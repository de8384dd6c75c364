import { type ChildProcess, spawn } from 'node:child_process';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { ROOT } from '../../server/config.js';

/** The compiled service as a process of its own. */
export interface RunningSite {
  url: string;
  child: ChildProcess;
  /** SIGKILL, at once; resolves when the process is gone. */
  kill: () => Promise<void>;
  gone: Promise<void>;
}

/** Starts dist/server/main.js on a data folder; resolves with its first answer. Needs `npm run build`. */
export async function spawnSite(dataDir: string, set: Record<string, string> = {}): Promise<RunningSite> {
  const port = await freePort();
  const env = { PATH: process.env.PATH, DATA_DIR: dataDir, PORT: String(port), RATE_LIMIT: 'off', LOG_LEVEL: 'error', ...set };
  const child = spawn(process.execPath, [join(ROOT, 'dist/server/main.js')], { env, stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  child.stderr.on('data', (chunk: Buffer) => {
    said += chunk.toString();
  });
  const gone = new Promise<void>((resolve) => {
    child.once('exit', () => resolve());
  });
  const url = `http://127.0.0.1:${port}`;
  await firstAnswer(url, child, () => said);
  return {
    url,
    child,
    gone,
    kill: () => {
      child.kill('SIGKILL');
      return gone;
    },
  };
}

async function firstAnswer(url: string, child: ChildProcess, said: () => string): Promise<void> {
  for (;;) {
    if (child.exitCode !== null || child.signalCode !== null) throw new Error(`the service did not start: ${said()}`);
    const answer = await fetch(`${url}/health`, { headers: { Connection: 'close' } }).catch(() => null);
    if (answer?.ok) return;
    await pause(10);
  }
}

export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, ms);
  });
}

/** Ports given out by this file's tests: one that was looked up and is not yet listened on may be found free again. */
const given = new Set<number>();

async function freePort(): Promise<number> {
  for (;;) {
    const port = await unusedPort();
    if (given.has(port)) continue;
    given.add(port);
    return port;
  }
}

function unusedPort(): Promise<number> {
  return new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
}
