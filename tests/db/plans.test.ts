import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { layDemo } from '../../seed/demo.js';
import { buildApp } from '../../server/app.js';
import { oweMonthlyMails } from '../../server/commitment/monthly-store.js';
import { readConfig } from '../../server/config.js';
import { bringUp } from '../../server/db/bring-up.js';
import { wrap } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { oweReady } from '../../server/joining/ready.js';
import { oweRenewals } from '../../server/joining/renewals.js';
import { feedOf } from '../../server/leadcalendar/store.js';
import { oweReminders } from '../../server/notices/owe.js';
import { openQueue } from '../../server/notices/queue.js';
import { sessionCookie } from '../../server/people/cookies.js';
import { startSession } from '../../server/people/sessions.js';
import { askToken } from '../../server/proposals/link.js';
import { signingToken, signUpToken } from '../../server/signups/link.js';
import { offerToken } from '../../server/together/link.js';
import { signUpFields } from '../support/sign-up.js';
import { solverHere } from '../support/solver.js';

const NOW = Date.UTC(2026, 10, 25, 12);
const DAY_MS = 86_400_000;
/** Tables that grow with every walk: no page may read one from end to end. */
const GROWING = [
  'standing_notes',
  'series',
  'routes',
  'forecasts',
  'walks',
  'walk_leaders',
  'walk_changes',
  'walk_offers',
  'sign_ups',
  'party_members',
  'emergency_contacts',
  'waivers',
  'waiver_traces',
  'kept_contacts',
  'applications',
  'notices',
  'roll_entries',
  'turned_up',
  'messages',
  'calendar_feeds',
  'board_visits',
  'ask_letters',
  'asks',
  'audit_log',
  'sessions',
  'sign_in_links',
  'people',
  'handbook_reads',
  'quiz_questions',
  'quiz_attempts',
  'quiz_attempt_questions',
  'plan_weeks',
  'turned_up',
  'turned_up_contacts',
  'roll_entries',
  'incidents',
  'incident_versions',
  'incident_notes',
];
/** Fixed for each page, whatever is in the database. */
const MOST_STATEMENTS = 20;
/** All that is held about somebody, of every feature. */
const MOST_OF_EVERYTHING = 30;
const OF_EVERYTHING = ['GET /me', 'GET /me.json'];

it('every statement of every page finds its rows by an index, and there are few of them', { timeout: 60_000 }, async () => {
  let statements: string[] = [];
  const raw = new Database(':memory:', { verbose: (statement) => statements.push(String(statement)) });
  const key = Buffer.alloc(32, 3);
  bringUp(raw, { keys: [key], from: 'SEAL_KEY' }, () => {});
  const db = wrap(raw);
  const sealer = new Sealer(key);
  layDemo(db, sealer, NOW, 'http://127.0.0.1:3000');
  const config = readConfig({ LOG_LEVEL: 'silent', RATE_LIMIT: 'off' });
  const { app, services } = await buildApp({ config, data: { db, sealer }, now: () => NOW, solver: solverHere });
  const leader = raw.prepare("SELECT id FROM people WHERE email = 'leader@waymeet.example'").pluck().get() as number;
  raw.prepare('UPDATE people SET coordinator = 1 WHERE id = ?').run(leader);
  // Marked as seen two months ago: what became of those months' gaps is looked up, too.
  raw
    .prepare("INSERT OR REPLACE INTO board_visits (person_id, seen_at, until_month, gaps) VALUES (?, ?, '2027-10', '[]')")
    .run(leader, NOW - 60 * DAY_MS);
  const walk = raw
    .prepare(
      "SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id WHERE l.person_id = ? AND w.state = 'posted' AND gather_at > ? ORDER BY gather_at DESC LIMIT 1",
    )
    .pluck()
    .get(leader, NOW) as number;
  const today = raw
    .prepare("SELECT id FROM walks WHERE state = 'posted' AND gather_at BETWEEN ? AND ? ORDER BY gather_at LIMIT 1")
    .pluck()
    .get(NOW - DAY_MS, NOW + DAY_MS) as number;
  const member = raw
    .prepare('SELECT m.id FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id WHERE s.walk_id = ? LIMIT 1')
    .pluck()
    .get(today) as number;
  const ofSeries = raw.prepare('SELECT min(id) FROM walks WHERE series_id IS NOT NULL').pluck().get() as number;
  const signUp = raw.prepare('SELECT id FROM sign_ups WHERE walk_id = ? LIMIT 1').pluck().get(walk) as number;
  const token = db.write((tx) => startSession(tx, services, leader));
  const cookie = `${sessionCookie(config)}=${token}`;
  const csrf = sealer.derive('form', token);

  const faults: string[] = [];
  const look = (name: string) => {
    const own = statements.filter((statement) => /^\s*(select|update|insert|delete)/i.test(statement));
    const most = OF_EVERYTHING.includes(name) ? MOST_OF_EVERYTHING : MOST_STATEMENTS;
    if (name.startsWith('GET') && own.length > most) faults.push(`${name}: ${own.length} statements`);
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
  const offer = raw.prepare("SELECT id, created_at AS madeAt FROM walk_offers WHERE state = 'open'").get() as {
    id: number;
    madeAt: number;
  };
  const letter = raw.prepare('SELECT id, created_at AS madeAt FROM ask_letters LIMIT 1').get() as { id: number; madeAt: number };
  for (const url of [
    '/',
    '/?week=9',
    '/plan',
    '/plan.ics',
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
    '/handbook',
    '/handbook/the-day',
    signing,
  ])
    await get(url);
  await app.inject({
    method: 'POST',
    url: '/lead/calendar/new',
    headers: { cookie, origin: config.baseUrl, 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams({ csrf, of: '' }).toString(),
  });
  for (const url of [
    '/lead',
    '/lead/calendar',
    `/lead/calendar/${feedOf(db.q, sealer, leader)?.token}.ics`,
    `/lead/walks/${walk}`,
    `/lead/walks/${walk}/edit`,
    `/lead/walks/${ofSeries}`,
    `/lead/walks/${ofSeries}/edit`,
    `/lead/walks/${ofSeries}/cancel`,
    `/lead/walks/${walk}/repeat`,
    '/lead/notes',
    '/lead/notes/1',
    `/lead/walks/${walk}/pack`,
    `/lead/walks/${today}/roll`,
    `/lead/walks/${today}/roll?who=m${member}`,
    `/lead/walks/${walk}/roll/turned-up`,
    `/lead/walks/${walk}/roll/help`,
    `/lead/walks/${walk}/incidents`,
    `/lead/walks/${walk}/incidents/new`,
    '/coordinate/incidents',
    '/coordinate/incidents/1',
    '/coordinate/incidents/summary',
    `/lead/walks/${walk}/weather`,
    `/lead/walks/${walk}/message`,
    `/lead/walks/${walk}/together`,
    `/offers/${offerToken(sealer, offer)}`,
    `/walks/${walk}/route.gpx`,
    '/coordinate',
    '/coordinate?from=2027-03&months=12&min=4&area=east-fork&month=2027-04',
    '/coordinate/coverage.csv?months=12',
    '/coordinate/proposals',
    '/coordinate/proposals?months=12&area=east-fork',
    `/asks/${askToken(sealer, letter)}`,
    '/lead/commitment',
    '/coordinate/leaders',
    '/coordinate/leaders?months=24&sort=area&area=east-fork',
    '/coordinate/leaders.csv',
    `/coordinate/leaders/${leader}?month=2026-11`,
    '/lead/join',
    '/lead/join/agreement',
    '/lead/about',
    '/lead/about/leave',
    '/lead/walks/new',
    '/coordinate/applications',
    '/coordinate/applications/1',
    '/coordinate/areas',
    '/coordinate/mail',
    '/coordinate/season',
    '/coordinate/forecast?months=12',
    '/coordinate/report',
    '/coordinate/report.csv?from=2026-01&months=24',
    '/coordinate/season/2027-04-19',
    '/coordinate/texts',
    '/coordinate/texts/waiver',
    '/coordinate/texts/waiver/1',
    '/coordinate/walkers',
    '/coordinate/quiz',
    '/coordinate/quiz/1',
    '/lead/join/quiz',
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
  await post('/handbook/the-day/read', {});
  await post('/lead/join/quiz', {});
  const attempt = raw.prepare('SELECT max(id) FROM quiz_attempts').pluck().get() as number;
  await get(`/lead/join/quiz/${attempt}`);
  await post(`/lead/join/quiz/${attempt}`, Object.fromEntries(Array.from({ length: 10 }, (_, index) => [`q${index + 1}`, '1'])));
  await get(`/lead/join/quiz/${attempt}`);
  const question = { page: 'the-day', question: 'Who is last?', answer1: 'A', answer2: 'B', right: '1', explanation: 'Because.' };
  await post('/coordinate/quiz/1', question);
  await get('/coordinate/quiz/1');
  await post('/coordinate/quiz/2/retire', {});
  await post('/coordinate/seen', { mark: 'old' });
  await post('/coordinate/proposals', { takeBack: '2' });
  await post(`/asks/${askToken(sealer, letter)}`, { ask: '1', answer: 'no' });
  await post('/sign-in', { email: 'ana@walkers.example' });
  await post(`/offers/${offerToken(sealer, offer)}`, { answer: 'accept' });
  const other = raw.prepare("SELECT person_id FROM leaders WHERE state = 'approved' AND person_id <> ?").pluck().get(leader) as number;
  await post(`/lead/walks/${walk}/together`, { kind: 'hand-over', person: String(other), intent: 'offer' });
  const { id, madeAt } = raw.prepare('SELECT id, created_at AS madeAt FROM walk_offers ORDER BY id DESC').get() as typeof offer;
  await post(`/offers/${offerToken(sealer, { id, madeAt })}`, { answer: 'accept' });
  await post('/coordinate/incidents/1', { intent: 'open' }, 200);
  await post('/coordinate/incidents/1', { intent: 'contact' }, 200);
  await post('/coordinate/incidents/1', { intent: 'follow', dueOn: '2026-12-01', assigned: '' });
  await post('/coordinate/incidents/1', { intent: 'close', outcome: 'recovered', closing: 'All well.' });
  const over = raw.prepare("SELECT id FROM walks WHERE state = 'closed' ORDER BY gather_at LIMIT 1").pluck().get() as number;
  const happened = {
    kind: 'hurt',
    who: 'else',
    where: 'finish',
    date: '2026-04-01',
    time: '10:00',
    what: 'Fell on the steps.',
    done: 'Rest.',
    called: 'no',
  };
  await post(`/lead/walks/${over}/incidents/new`, happened);
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
  db.write((tx) => oweMonthlyMails(tx, context, sealer));
  look('the monthly mails');
  db.write((tx) => oweRenewals(tx, context) + oweReady(tx, context));
  look('what is due of leading');
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
