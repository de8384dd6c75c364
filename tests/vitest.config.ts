import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const BROWSER = 'tests/browser/**/*.test.ts';
/** What measures the memory of its own process. */
const ALONE = 'tests/gpx/bombs.test.ts';

/** Three suites, one command. Only the browser's needs Chromium, which its set-up finds or installs. */
export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    pool: 'forks',
    // Vitest would leave one core idle: half of a two-core machine.
    maxWorkers: availableParallelism(),
    projects: [
      {
        extends: true,
        test: {
          name: 'service',
          include: ['tests/**/*.test.ts'],
          exclude: [BROWSER, ALONE, 'tests/bench/**'],
          testTimeout: 15_000,
          setupFiles: ['tests/support/each.ts'],
          // Loading the service, and compiling its templates, anew for each file took half of the time. Each test opens its own app on its own database.
          isolate: false,
        },
      },
      { extends: true, test: { name: 'alone', include: [ALONE], testTimeout: 15_000 } },
      {
        extends: true,
        test: { name: 'browser', include: [BROWSER], globalSetup: 'tests/support/chromium.ts', testTimeout: 60_000, hookTimeout: 30_000 },
      },
    ],
  },
});
