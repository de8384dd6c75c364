import { afterEach } from 'vitest';
import { closeSites } from './app.js';
import { removeFolders } from './folder.js';

/** What every test file begins with: each test's sites are closed first, then the folders go that they wrote into. */
afterEach(async () => {
  try {
    await closeSites();
  } finally {
    removeFolders();
  }
});
