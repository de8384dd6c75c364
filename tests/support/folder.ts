import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';

const made: string[] = [];

/** An empty folder, gone when the test ends. */
export function passingFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'waymeet-passing-'));
  made.push(folder);
  return folder;
}

afterEach(() => {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
});
