import { mkdtempSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { spawnSite } from './support/process.js';

const STOP_WITHIN_MS = 5000;

let dataDir: string;

beforeEach(() => {
  dataDir = mkdtempSync(join(tmpdir(), 'waymeet-serve-'));
});
afterEach(() => {
  rmSync(dataDir, { recursive: true, force: true });
});

it('stops within five seconds of SIGTERM, however its visitors hang on, and starts again on the same folder', async () => {
  const site = await spawnSite(dataDir);
  const idle = connect(Number(new URL(site.url).port), '127.0.0.1');
  idle.on('error', () => {});
  idle.write('POST /sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: 1000\r\nContent-Type: application/x-www-form-urlencoded\r\n\r\nhalf');
  await fetch(`${site.url}/health`, { headers: { connection: 'keep-alive' } });
  const began = performance.now();
  site.child.kill('SIGTERM');
  const code = await new Promise((resolve) => site.child.once('exit', resolve));
  expect(code).toBe(0);
  expect(performance.now() - began).toBeLessThan(STOP_WITHIN_MS);
  const again = await spawnSite(dataDir);
  expect((await fetch(`${again.url}/ready`)).status).toBe(200);
  await again.kill();
});
