import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { layDemo } from '../../seed/demo.js';
import { DEMO_PEOPLE } from '../../seed/links.js';
import { buildApp } from '../../server/app.js';
import { readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import type { Db } from '../../server/db/open.js';
import { people } from '../../server/db/schema/index.js';
import { startOutbox } from '../../server/notices/outbox.js';
import { chooseTransport } from '../../server/notices/transport.js';
import { sessionCookie } from '../../server/people/cookies.js';
import { startSession } from '../../server/people/sessions.js';
import type { Services } from '../../server/services.js';
import { chromiumPath } from '../support/chromium.js';

/** One of the demo's people, or someone else of the region by their address. */
export type Visitor = 'nobody' | 'walker' | 'leader' | 'coordinator' | `${string}@${string}`;

export interface DemoSite {
  url: string;
  db: Db;
  services: Services;
  browser: Browser;
  /** A fresh window in which this person is signed in. */
  open: (visitor: Visitor, options?: BrowserContextOptions) => Promise<Page>;
  close: () => Promise<void>;
}

/** The demo region, served on loopback, with a browser to look at it; `host` is the name the browser knows it by. */
export async function openDemo(host = '127.0.0.1'): Promise<DemoSite> {
  const dataDir = mkdtempSync(join(tmpdir(), 'waymeet-browser-'));
  const config = readConfig({
    DATA_DIR: dataDir,
    LOG_LEVEL: 'error',
    RATE_LIMIT: 'off',
    NOTICE_HOLD: '0',
    BASE_URL: `http://${host}:${await freePort()}`,
  });
  const data = openFolder(config, () => {});
  layDemo(data.db, data.sealer, Date.now(), config.baseUrl);
  const wake = { mail: () => {} };
  const { app, services, views } = await buildApp({ config, data, mailOwed: () => wake.mail() });
  const outbox = startOutbox(services, views, chooseTransport(config));
  wake.mail = outbox.nudge;
  await app.listen({ port: Number(new URL(config.baseUrl).port), host: '127.0.0.1' });
  const url = config.baseUrl;
  const browser = await chromium.launch({ executablePath: chromiumPath(), args: [...ARGS, `--host-resolver-rules=MAP ${host} 127.0.0.1`] });
  return {
    url,
    db: data.db,
    services,
    browser,
    open: async (visitor, options = {}) => {
      const context = await browser.newContext({ baseURL: url, locale: 'en-US', timezoneId: 'Asia/Tokyo', ...options });
      if (visitor !== 'nobody') await context.addCookies([{ name: sessionCookie(config), value: session(services, visitor), url }]);
      return context.newPage();
    },
    close: async () => {
      await browser.close();
      await app.close();
      await outbox.stop();
      data.close();
      rmSync(dataDir, { recursive: true, force: true });
    },
  };
}

/** No network but loopback: without these Chromium looks for its makers' hosts at every start. */
const ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

function session(services: Services, visitor: Visitor): string {
  const email = visitor.includes('@') ? visitor : (DEMO_PEOPLE.find((person) => person.email.startsWith(visitor))?.email ?? '');
  return services.db.write((tx) => {
    const known = tx.query.people.findFirst({ where: (person, { eq }) => eq(person.email, email) }).sync();
    const id =
      known?.id ??
      tx.insert(people).values({ name: 'Teddy Okonjo', email, createdAt: services.now() }).returning({ id: people.id }).get().id;
    return startSession(tx, services, id);
  });
}

async function freePort(): Promise<number> {
  const { createServer } = await import('node:net');
  return new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
}
