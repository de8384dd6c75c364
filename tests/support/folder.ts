import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const made: string[] = [];

/** An empty folder, gone when the test ends. */
export function passingFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'waymeet-passing-'));
  made.push(folder);
  return folder;
}

/** Removes them: tests/support/each.ts. */
export function removeFolders(): void {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
}
