import { randomBytes } from 'node:crypto';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { announceLinks } from '../../seed/announce.js';
import { layLinks } from '../../seed/links.js';
import { ROOT } from '../../server/config.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { connect, wrap } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { linkByToken, makeLink } from '../../server/people/link-store.js';

const NOW = Date.parse('2026-11-25T17:00:00Z');
const BASE_URL = 'http://127.0.0.1:3000';

const raw = connect(':memory:');
migrate(raw, readMigrations(join(ROOT, 'migrations')));
const db = wrap(raw);
const sealer = new Sealer(randomBytes(32));
afterAll(() => {
  db.close();
});

it('says each link that someone asked for, and none that could not sign them in or that was printed already', () => {
  const said: string[] = [];
  announceLinks({ db, sealer }, BASE_URL, (line) => said.push(line));
  const services = { now: () => NOW, secret: () => randomBytes(32).toString('base64url'), sealer };
  db.write((tx) => makeLink(tx, services, { email: 'leader@waymeet.example', browser: 'one', next: null }));
  db.write((tx) => makeLink(tx, services, { email: 'nobody@waymeet.example', browser: 'one', next: null }, true));
  layLinks(db, sealer, NOW, BASE_URL);
  expect(said).toHaveLength(1);
  const [, token] = /asked for by leader@waymeet\.example, .*\/sign-in\/(\S+)$/.exec(said[0] ?? '') ?? [];
  expect(linkByToken(db.q, token ?? '')?.email).toBe('leader@waymeet.example');
});

it('leaves nothing of the saying in the file', () => {
  expect(raw.prepare("SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'").pluck().get()).toBe(0);
});
