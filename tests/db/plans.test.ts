import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { layDemo } from '../../seed/demo.js';
import { buildApp } from '../../server/app.js';
import { readConfig } from '../../server/config.js';
import { bringUp } from '../../server/db/bring-up.js';
import { wrap } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { oweReminders } from '../../server/notices/owe.js';
import { openQueue } from '../../server/notices/queue.js';
import { sessionCookie } from '../../server/people/cookies.js';
import { startSession } from '../../server/people/sessions.js';
import { signingToken, signUpToken } from '../../server/signups/link.js';
import { signUpFields } from '../support/sign-up.js';

const NOW = Date.UTC(2026, 10, 25, 12);
/** Tables that grow with every walk: no page may read one from end to end. */
const GROWING = [
  'standing_notes',
  'series',
  'routes',
  'forecasts',
  'walks',
  'walk_leaders',
  'walk_changes',
  'sign_ups',
  'party_members',
  'emergency_contacts',
  'waivers',
  'waiver_traces',
  'kept_contacts',
  'notices',
  'audit_log',
  'sessions',
  'sign_in_links',
  'people',
];
/** Fixed for each page, whatever is in the database. */
const MOST_STATEMENTS = 17;

it('every statement of every page finds its rows by an index, and there are few of them', async () => {
  let statements: string[] = [];
  const raw = new Database(':memory:', { verbose: (statement) => statements.push(String(statement)) });
  const key = Buffer.alloc(32, 3);
  bringUp(raw, { keys: [key], from: 'SEAL_KEY' }, () => {});
  const db = wrap(raw);
  const sealer = new Sealer(key);
  layDemo(db, sealer, NOW, 'http://127.0.0.1:3000');
  const config = readConfig({ LOG_LEVEL: 'silent', RATE_LIMIT: 'off' });
  const { app, services } = await buildApp({ config, data: { db, sealer }, now: () => NOW });
  const leader = raw.prepare("SELECT id FROM people WHERE email = 'leader@waymeet.example'").pluck().get() as number;
  raw.prepare('UPDATE people SET coordinator = 1 WHERE id = ?').run(leader);
  const walk = raw
    .prepare(
      "SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id WHERE l.person_id = ? AND w.state = 'posted' AND gather_at > ? ORDER BY gather_at DESC LIMIT 1",
    )
    .pluck()
    .get(leader, NOW) as number;
  const ofSeries = raw.prepare('SELECT min(id) FROM walks WHERE series_id IS NOT NULL').pluck().get() as number;
  const signUp = raw.prepare('SELECT id FROM sign_ups WHERE walk_id = ? LIMIT 1').pluck().get(walk) as number;
  const token = db.write((tx) => startSession(tx, services, leader));
  const cookie = `${sessionCookie(config)}=${token}`;
  const csrf = sealer.derive('form', token);

  const faults: string[] = [];
  const look = (name: string) => {
    const own = statements.filter((statement) => /^\s*(select|update|insert|delete)/i.test(statement));
    if (name.startsWith('GET') && own.length > MOST_STATEMENTS) faults.push(`${name}: ${own.length} statements`);
    for (const statement of own) {
      const plan = raw.prepare(`EXPLAIN QUERY PLAN ${statement}`).all() as { detail: string }[];
      for (const { detail } of plan) {
        const table = /^SCAN (\w+)/.exec(detail)?.[1];
        if (table === undefined) continue;
        const real = new RegExp(`(?:from|join)\\s+"?(\\w+)"?(?:\\s+as)?\\s+"?${table}"?\\b`, 'i').exec(statement)?.[1] ?? table;
        if (GROWING.includes(real) && !/USING (COVERING )?INDEX/.test(detail))
          faults.push(`${name}: ${detail} in ${statement.slice(0, 300)}`);
      }
    }
    statements = [];
  };
  const get = async (url: string) => {
    await app.inject({ url, headers: { cookie } });
    statements = [];
    expect([url, (await app.inject({ url, headers: { cookie } })).statusCode]).toEqual([url, 200]);
    look(`GET ${url}`);
  };
  const post = async (url: string, fields: Record<string, string>, status = 303) => {
    statements = [];
    const answer = await app.inject({
      method: 'POST',
      url,
      headers: { cookie, origin: config.baseUrl, 'content-type': 'application/x-www-form-urlencoded' },
      payload: new URLSearchParams({ csrf, ...fields }).toString(),
    });
    expect([url, answer.statusCode]).toEqual([url, status]);
    look(`POST ${url}`);
  };

  const own = `/sign-ups/${signUpToken(sealer, signUp)}`;
  const absent = raw.prepare('SELECT id, email FROM party_members WHERE sign_token_hash IS NOT NULL').get() as {
    id: number;
    email: string;
  };
  const signing = `/waivers/${signingToken(sealer, absent.id, absent.email)}`;
  for (const url of [
    '/',
    '/?area=lantern-hills&day=sat&surface=gravel',
    `/walks/${walk}`,
    `/walks/${walk}.ics`,
    '/walks.json',
    '/calendar.ics?area=east-fork',
    '/areas/east-fork',
    own,
    `/walks/${walk}/sign-up`,
    '/rules',
    '/waiver/1',
    '/privacy',
    signing,
  ])
    await get(url);
  for (const url of [
    '/lead',
    `/lead/walks/${walk}`,
    `/lead/walks/${walk}/edit`,
    `/lead/walks/${ofSeries}`,
    `/lead/walks/${ofSeries}/edit`,
    `/lead/walks/${ofSeries}/cancel`,
    `/lead/walks/${walk}/repeat`,
    '/lead/notes',
    '/lead/notes/1',
    `/lead/walks/${walk}/pack`,
    `/lead/walks/${walk}/weather`,
    `/lead/walks/${walk}/message`,
    `/walks/${walk}/route.gpx`,
    '/coordinate',
    '/coordinate/leaders',
    '/coordinate/areas',
    '/coordinate/mail',
    '/coordinate/texts',
    '/coordinate/texts/waiver',
    '/coordinate/texts/waiver/1',
    '/coordinate/walkers',
    `/lead/walks/${walk}/contacts`,
    `/lead/walks/${walk}/waivers`,
    `/lead/walks/${walk}/waivers/print`,
    '/me/erase',
    '/me',
    '/me.json',
    '/ready',
  ])
    await get(url);
  await post(`/walks/${walk}/sign-up`, signUpFields());
  await post(`${own}/withdraw`, {});
  await post('/sign-in', { email: 'ana@walkers.example' });
  await post('/lead/notes', { title: 'Parking', body: 'By the weir', goesInto: 'directions' });
  await post('/lead/notes/1', { intent: 'delete' });
  const dates = { every: '2', ends: 'count', count: '3' };
  await post(`/lead/walks/${walk}/repeat`, { ...dates, intent: 'preview' }, 200);
  const later = raw
    .prepare("SELECT 'later[w' || id || ']', CAST(version AS TEXT) FROM walks WHERE series_id IS NOT NULL AND id <> ?")
    .raw()
    .all(ofSeries) as [string, string][];
  await post(`/lead/walks/${ofSeries}/cancel`, { kind: 'other', reason: 'Ill', scope: 'later', ...Object.fromEntries(later) });
  await post(`/lead/walks/${walk}/cancel`, { kind: 'other', reason: 'Leader ill' });
  const context = { now: NOW, settings: services.settings(), config };
  db.write((tx) => oweReminders(tx, context));
  look('the reminders');
  const queue = openQueue(db, () => {});
  db.write((tx) => {
    for (const claimed of queue.claim(context, 'lease') ?? []) queue.end(tx, context, claimed, { state: 'sent' });
    queue.release(tx, context, 'all');
  });
  look('the outbox');
  expect(faults).toEqual([]);
  await app.close();
  raw.close();
});
