import { randomBytes } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { afterAll, describe, expect, it } from 'vitest';
import { chance } from '../../seed/chance.js';
import { layDemo } from '../../seed/demo.js';
import { gatherToday, plannedWalks, spanAround } from '../../seed/plan.js';
import { chooseStories } from '../../seed/stories.js';
import { walkFacts } from '../../seed/walk-facts.js';
import { layWalk } from '../../seed/walks.js';
import { addDays, addMonths, monthOf } from '../../server/calc/month.js';
import { sun } from '../../server/calc/sun.js';
import { instants, wallOf } from '../../server/calc/zone.js';
import { ROOT } from '../../server/config.js';
import { rollPhase } from '../../server/day/opening.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { connect, wrap } from '../../server/db/open.js';
import { hashed, Sealer } from '../../server/db/seal.js';
import { groupSettings } from '../../server/settings/rules.js';
import { settingsReader } from '../../server/settings/store.js';
import { unexplained, walkCheck } from '../../server/walkcheck/rules.js';
import { finishTimes } from '../../server/walks/finish.js';
import { factsOf } from '../../server/walks/store.js';

const EASTERN = 'America/New_York';
const BASE_URL = 'http://127.0.0.1:3000';

/** Days that are hard to lay a calendar around, each with its hour of starting. */
const MOMENTS = [
  ['an autumn noon', '2026-11-25T17:00:00Z'],
  ['just after midnight', '2026-09-01T04:01:00Z'],
  ['late in the evening', '2026-10-17T03:30:00Z'],
  ['clocks going back', '2026-11-01T05:30:00Z'],
  ['the day after clocks went back', '2026-11-02T14:00:00Z'],
  ['clocks going forward', '2027-03-14T06:59:00Z'],
  ['the last hour of the year', '2027-01-01T04:30:00Z'],
  ["New Year's Day", '2027-01-01T15:00:00Z'],
  ['a long month before a short one', '2027-01-31T20:00:00Z'],
  ['a leap day', '2028-02-29T13:00:00Z'],
] as const;

/** Processor time, which other work on the machine leaves alone: between two and three times what it takes. */
const MOST_CPU_MS = 1200;

const folder = mkdtempSync(join(tmpdir(), 'waymeet-seed-'));
const opened: Database.Database[] = [];
afterAll(() => {
  for (const raw of opened) raw.close();
  rmSync(folder, { recursive: true, force: true });
});

const key = randomBytes(32);

function lay(moment: string) {
  const raw = connect(join(folder, `${opened.length}.db`));
  opened.push(raw);
  migrate(raw, readMigrations(join(ROOT, 'migrations')));
  const db = wrap(raw);
  const now = Date.parse(moment);
  const sealer = new Sealer(key);
  const { people } = layDemo(db, sealer, now, BASE_URL);
  const rows = <T>(sql: string, ...given: unknown[]) => raw.prepare(sql).all(...given) as T[];
  const number = (sql: string, ...given: unknown[]) =>
    raw
      .prepare(sql)
      .pluck()
      .get(...given) as number;
  return { raw, db, now, sealer, people, rows, number, today: wallOf(now, EASTERN).date };
}

describe.each(MOMENTS)('the demo region laid at %s', (_, moment) => {
  const region = lay(moment);
  const { raw, db, now, sealer, people, rows, number, today } = region;
  const all = db.q.query.walks.findMany().sync();
  const routes = db.q.query.routes.findMany().sync();
  const settings = settingsReader(db)();

  it('points at nothing that is missing', () => {
    expect(raw.pragma('foreign_key_check')).toEqual([]);
    expect(raw.pragma('integrity_check', { simple: true })).toBe('ok');
  });

  it('keeps every instant and month true to the wall time meant', () => {
    for (const walk of all) {
      expect(instants(walk.wallDate, walk.wallTime, walk.zone)).toEqual([walk.gatherAt]);
      expect(instants(walk.wallDate, walk.wallSetOff, walk.zone)).toEqual([walk.setOffAt]);
      expect(walk.month).toBe(monthOf(walk.setOffAt, walk.zone));
    }
  });

  it('gives every walk one leader, who leads one walk a day and lives in its area', () => {
    expect(
      number(`SELECT count(*) FROM walks w WHERE (SELECT count(*) FROM walk_leaders l WHERE l.walk_id = w.id AND part = 'leader') <> 1`),
    ).toBe(0);
    expect(rows('SELECT 1 FROM walk_leaders l JOIN walks w ON w.id = l.walk_id GROUP BY person_id, wall_date HAVING count(*) > 1')).toEqual(
      [],
    );
    expect(
      number(
        `SELECT count(*) FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN leaders p USING (person_id) WHERE p.area_id <> w.area_id`,
      ),
    ).toBe(0);
  });

  it('has a history for every walk that ends in what it says now', () => {
    expect(number('SELECT count(*) FROM walks w WHERE version <> (SELECT count(*) FROM walk_changes c WHERE c.walk_id = w.id)')).toBe(0);
    const last = db.q.query.walkChanges.findMany().sync();
    for (const walk of all) {
      expect(last.find((change) => change.walkId === walk.id && change.version === walk.version)?.facts).toEqual(factsOf(walk));
    }
    expect(
      number(
        'SELECT count(*) FROM walk_changes a JOIN walk_changes b ON b.walk_id = a.walk_id AND b.version = a.version + 1 WHERE b.at <= a.at',
      ),
    ).toBe(0);
    expect(number('SELECT count(*) FROM walk_changes WHERE at > ?', now)).toBe(0);
  });

  it('closes what is over and nothing else', () => {
    expect(number(`SELECT count(*) FROM walks WHERE state = 'closed' AND (closed_at IS NULL OR closed_at > ?)`, now)).toBe(0);
    expect(number(`SELECT count(*) FROM walks WHERE state = 'posted' AND wall_date < ?`, addDays(today, -1))).toBe(0);
    expect(number(`SELECT count(*) FROM walks WHERE posted_at >= gather_at OR posted_at > ?`, now)).toBe(0);
  });

  it('never has more people than places, and counts each party', () => {
    const places = `SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = w.id AND state = 'confirmed'`;
    expect(number(`SELECT count(*) FROM walks w WHERE (${places}) > capacity`)).toBe(0);
    const members = 'SELECT count(*) FROM party_members m WHERE m.sign_up_id = s.id AND removed_at IS NULL';
    expect(number(`SELECT count(*) FROM sign_ups s WHERE party_size <> (${members})`)).toBe(0);
    expect(number('SELECT count(*) FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE told_version <> version')).toBe(0);
    expect(
      number('SELECT count(*) FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.created_at < w.posted_at OR s.created_at > ?', now),
    ).toBe(0);
    expect(number('SELECT count(DISTINCT email) FROM sign_ups')).toBe(300);
  });

  it('seals every contact where it lies, for walks not long ago only', () => {
    const sealed = rows<{ member_id: number; sealed: Buffer }>('SELECT member_id, sealed FROM emergency_contacts');
    for (const { member_id, sealed: value } of sealed)
      expect(sealer.open({ table: 'emergency_contacts', column: 'sealed', row: member_id }, value)).toMatchObject({
        phone: expect.stringMatching(/^\+1\d{3}55501\d{2}$/),
      });
    const walkOf = 'party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id';
    expect(
      number(
        `SELECT count(*) FROM ${walkOf} WHERE w.gather_at > ? AND m.email IS NULL AND NOT EXISTS (SELECT 1 FROM emergency_contacts e WHERE e.member_id = m.id)`,
        now,
      ),
    ).toBe(0);
    expect(
      number(
        `SELECT count(*) FROM emergency_contacts e JOIN party_members m ON m.id = e.member_id JOIN sign_ups s ON s.id = m.sign_up_id
      JOIN walks w ON w.id = s.walk_id WHERE w.gather_at < ?`,
        now - 30 * 24 * 60 * 60 * 1000,
      ),
    ).toBe(0);
  });

  it('has a waiver in force for everyone in every party who was there at the booking, and a family with two children of whom one adult has yet to sign', () => {
    const members = 'party_members m JOIN sign_ups s ON s.id = m.sign_up_id';
    expect(
      number(`SELECT count(*) FROM ${members} WHERE m.email IS NULL AND NOT EXISTS
      (SELECT 1 FROM waivers v WHERE v.email = s.email AND v.for_name = m.name AND v.signed_at <= s.created_at
       AND v.signed_as = CASE m.minor WHEN 1 THEN 'guardian' ELSE 'self' END)`),
    ).toBe(0);
    expect(
      number(`SELECT count(*) FROM ${members} WHERE s.email = 'walker@waymeet.example' AND m.minor AND m.guardian_id IS NOT NULL`),
    ).toBe(2);
    expect(number('SELECT count(*) FROM party_members WHERE email IS NOT NULL AND sign_token_hash IS NOT NULL')).toBe(1);
    expect(
      number(
        `SELECT count(*) FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id WHERE m.minor AND NOT w.minors`,
      ),
    ).toBe(0);
    expect(
      number(
        `SELECT count(*) FROM waivers v JOIN texts t ON t.id = v.text_id WHERE v.text_sha256 <> t.sha256 OR t.kind <> iif(v.signed_as = 'leader', 'agreement', 'waiver')`,
      ),
    ).toBe(0);
  });

  it('serves all areas, one thinly, and leaves one month empty in one', () => {
    const months = Array.from({ length: 8 }, (__, index) => addMonths(today.slice(0, 7), index - 5));
    expect(number('SELECT count(*) FROM areas')).toBe(5);
    const held = rows<{ area: string; month: string }>(
      'SELECT a.name AS area, month FROM walks w JOIN areas a ON a.id = w.area_id GROUP BY 1, 2',
    );
    expect(new Set(held.map((one) => one.month))).toEqual(new Set(months));
    expect(held).toHaveLength(5 * months.length - 1);
    expect(held).not.toContainEqual({ area: 'Quarry Lakes', month: months.at(-1) });
    const thinnest = rows<{ name: string; walks: number }>(
      'SELECT a.name, count(*) AS walks FROM walks w JOIN areas a ON a.id = w.area_id GROUP BY 1 ORDER BY 2',
    );
    expect(thinnest[0]?.name).toBe('East Fork');
    expect((thinnest[0]?.walks ?? 0) * 3).toBeLessThan(thinnest[1]?.walks ?? 0);
  });

  it('has a walk today, led by the demo leader, who has more to come', () => {
    const mine = `walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id WHERE p.email = 'leader@waymeet.example'`;
    expect(number(`SELECT count(*) FROM ${mine} AND wall_date = ? AND zone = ?`, today, EASTERN)).toBe(1);
    expect(number(`SELECT count(*) FROM ${mine} AND wall_date > ? AND state = 'posted'`, today)).toBeGreaterThanOrEqual(3);
    expect(
      number(`SELECT count(*) FROM sign_ups s JOIN ${mine} AND wall_date > ? AND s.walk_id = w.id AND party_size = 4`, today),
    ).toBeGreaterThan(0);
    expect(
      number(
        `SELECT count(*) FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.email = 'walker@waymeet.example' AND wall_date > ?`,
        today,
      ),
    ).toBe(2);
    expect(
      number(
        `SELECT count(*) FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.email = 'walker@waymeet.example' AND w.state = 'closed'`,
      ),
    ).toBe(4);
  });

  it('has a full walk to come with a waiting list, none of whom is waiting in vain', () => {
    const places = `(SELECT sum(party_size) FROM sign_ups c WHERE c.walk_id = w.id AND c.state = 'confirmed')`;
    const waiting = rows<{ free: number }>(
      `SELECT w.capacity - ${places} AS free FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.state = 'waiting' AND w.gather_at > ?`,
      now,
    );
    expect(waiting).toEqual([{ free: 0 }, { free: 0 }, { free: 0 }]);
  });

  it('has told everyone of the cancelled walk and of the moved one', () => {
    const [cancelled] = rows<{ id: number; cancel_kind: string }>(
      `SELECT id, cancel_kind FROM walks WHERE state = 'cancelled' AND gather_at > ?`,
      now,
    );
    const [moved] = rows<{ id: number; moved: string; edited: number }>(
      `SELECT id, moved, (SELECT at FROM walk_changes c WHERE c.walk_id = w.id AND c.version = w.version) AS edited FROM walks w WHERE moved <> '' AND gather_at > ?`,
      now,
    );
    expect(cancelled?.cancel_kind).toBe('safety');
    expect(moved?.moved).toMatch(/^Moved: now /);
    const untold = `SELECT count(*) FROM sign_ups s WHERE walk_id = ? AND state <> 'withdrawn' AND created_at < ? AND NOT EXISTS
      (SELECT 1 FROM notices n WHERE n.sign_up_id = s.id AND n.kind = ? AND n.state = 'kept')`;
    expect(number(untold, cancelled?.id, now, 'cancellation')).toBe(0);
    expect(number(untold, moved?.id, moved?.edited, 'change')).toBe(0);
    expect(number(`SELECT count(*) FROM notices WHERE kind = 'cancellation'`)).toBeGreaterThan(2);
    expect(number(`SELECT count(*) FROM notices WHERE kind = 'change'`)).toBeGreaterThan(2);
    expect(number('SELECT count(*) FROM notices WHERE created_at > ?', now)).toBe(0);
  });

  it('has 24 leaders who kept last month, but for one who was short and any excused', () => {
    expect(number('SELECT count(*) FROM leaders')).toBe(24);
    const short = `SELECT p.name FROM leaders l JOIN people p ON p.id = l.person_id JOIN pledges g ON g.person_id = p.id
      WHERE l.since_month <= @month AND NOT EXISTS (SELECT 1 FROM excused_months e WHERE e.person_id = p.id AND e.month = @month)
        AND g.walks > (SELECT count(*) FROM walk_leaders wl JOIN walks w ON w.id = wl.walk_id WHERE wl.person_id = p.id AND w.month = @month)`;
    for (const month of [-5, -4, -3, -2].map((count) => addMonths(today.slice(0, 7), count))) expect(rows(short, { month })).toEqual([]);
    for (const month of [-1, 0].map((count) => addMonths(today.slice(0, 7), count)))
      expect(rows(short, { month })).toEqual([{ name: 'Otis Marchbanks' }]);
    expect(number('SELECT count(*) FROM excused_months WHERE month = ?', today.slice(0, 7))).toBe(1);
    expect(
      number(
        `SELECT count(*) FROM excused_months e JOIN walk_leaders l USING (person_id) JOIN walks w ON w.id = l.walk_id AND w.month = e.month`,
      ),
    ).toBe(0);
  });

  it('shows every walk to come with its way, its stops and the time they take', () => {
    const coming = all.filter((walk) => walk.gatherAt > now);
    expect(coming.length).toBeGreaterThan(20);
    for (const walk of coming) {
      const route = routes.find((one) => one.id === walk.routeId);
      if (!route?.profile) throw new Error(`${walk.routeName} has no way`);
      expect(Math.abs(route.lengthMetres - walk.distanceMetres)).toBeLessThan(walk.distanceMetres * 0.005);
      expect(Math.abs((route.ascentMetres ?? 0) - walk.ascentMetres)).toBeLessThan(walk.ascentMetres * 0.05);
      expect(walk.stops.length).toBeGreaterThan(0);
      const efforts = [...walk.stops.map((stop) => stop.effortMetres ?? 0), walk.effortMetres ?? 0];
      expect(efforts).toEqual([...efforts].sort((a, b) => a - b));
      expect(walk.effortMetres ?? 0).toBeGreaterThan(walk.distanceMetres * 0.95);
    }
    expect(number('SELECT count(*) FROM routes WHERE id NOT IN (SELECT route_id FROM walks)')).toBe(0);
    expect(routes.map((route) => route.shape)).toEqual(expect.arrayContaining(['loop', 'out and back', 'one way']));
  });

  it('leaves nothing to mend on a walk to come that its leader has not explained', () => {
    const areas = db.q.query.areas.findMany().sync();
    for (const walk of all.filter((one) => one.gatherAt > now)) {
      const area = areas.find((one) => one.id === walk.areaId);
      if (!area) throw new Error('every walk has an area');
      const route = routes.find((one) => one.id === walk.routeId) ?? null;
      const found = unexplained(walkCheck(factsOf(walk), { settings, now, area, route, others: [] }));
      expect(found.map((item) => `${walk.routeName}: ${item.title}`)).toEqual([]);
    }
  });

  it('has short, long and whole-day walks to come, each gathered by daylight', () => {
    const coming = rows<{ miles: number }>(
      `SELECT distance_metres / 1609.344 AS miles FROM walks WHERE state = 'posted' AND gather_at > ?`,
      now,
    );
    for (const length of [4, 12, 22]) expect(coming.some(({ miles }) => Math.abs(miles - length) < 0.5)).toBe(true);
    for (const walk of all.filter((one) => one.distanceMetres > 30_000)) {
      const { dawn, dusk } = sun(walk.lat ?? 0, walk.lon ?? 0, walk.wallDate, walk.zone);
      expect(walk.gatherAt).toBeGreaterThanOrEqual(dawn ?? 0);
      expect(finishTimes(factsOf(walk), settings).slowest > (dusk ?? 0)).toBe(walk.explained.dusk !== undefined);
    }
  });

  it('gives the demo leader a walk over hills to come, with several stops, a short way and directions', () => {
    const mine = rows<{ id: number }>(
      `SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
      WHERE p.email = 'leader@waymeet.example' AND w.state = 'posted' AND w.wall_date > ?`,
      today,
    );
    const walks = all.filter((walk) => mine.some(({ id }) => id === walk.id));
    expect(walks.every((walk) => walk.directions !== '')).toBe(true);
    expect(walks.some((walk) => walk.stops.length >= 4 && walk.stops.some((stop) => stop.short) && walk.ascentMetres > 300)).toBe(true);
  });

  it('says when most routes were last seen, before the walk was posted', () => {
    for (const walk of all) if (walk.seenOn !== '') expect(Date.parse(walk.seenOn)).toBeLessThan(walk.postedAt ?? 0);
    const said = all.filter((walk) => walk.seenOn !== '').length;
    expect(said).toBeGreaterThan(all.length * 0.75);
    expect(said).toBeLessThan(all.length);
  });

  it("has a forecast for today's walk and for the leader's next, if that is near", () => {
    const forecasts = db.q.query.forecasts.findMany().sync();
    const dates = forecasts.map((forecast) => forecast.wallDate).sort();
    expect(dates[0]).toBe(today);
    for (const forecast of forecasts) {
      const walk = all.find((one) => one.id === forecast.walkId);
      expect(walk?.wallDate).toBe(forecast.wallDate);
      expect(forecast.wallDate <= addDays(today, 2)).toBe(true);
      expect(forecast.at).toBeGreaterThan(walk?.postedAt ?? now);
      expect(forecast.at).toBeLessThan(now);
    }
    const next = number(
      `SELECT count(*) FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
      WHERE p.email = 'leader@waymeet.example' AND l.part = 'leader' AND wall_date > ? AND wall_date <= ?`,
      today,
      addDays(today, 2),
    );
    expect(forecasts.length).toBe(1 + Math.min(1, next));
  });

  it('gives each demo person a link for any browser, kept as a hash', () => {
    expect(people.map((person) => person.email)).toEqual([
      'coordinator@waymeet.example',
      'leader@waymeet.example',
      'walker@waymeet.example',
    ]);
    for (const { link, email } of people) {
      const token = link.slice(`${BASE_URL}/sign-in/`.length);
      const [row] = rows<Record<string, unknown>>('SELECT * FROM sign_in_links WHERE token_hash = ?', hashed(token));
      expect(row).toMatchObject({ email, browser_hash: null, used_at: null, expires_at: now + 24 * 60 * 60 * 1000 });
    }
  });
});

it('is the same region each time it is laid on the same day', () => {
  const morning = lay('2026-11-25T14:00:00Z');
  const again = lay('2026-11-25T14:00:00Z');
  const said = ({ rows }: ReturnType<typeof lay>) =>
    ['walks', 'routes', 'forecasts', 'walk_leaders', 'walk_changes', 'party_members', 'waivers', 'notices', 'people'].map((table) =>
      rows(`SELECT * FROM ${table}`),
    );
  expect(said(again)).toEqual(said(morning));
});

it('is laid while someone waits for it', () => {
  lay('2026-11-24T14:00:00Z');
  const before = process.cpuUsage();
  lay('2026-11-25T14:00:00Z');
  const { user, system } = process.cpuUsage(before);
  expect((user + system) / 1000).toBeLessThan(MOST_CPU_MS);
});

describe("when today's walk gathers", () => {
  const at = (hours: number, minutes: number) => hours * 60 + minutes;
  it('is by day, in an hour to a few hours from now, and earlier today once it is too late', () => {
    expect(gatherToday(at(0, 5))).toBe(at(8, 30));
    expect(gatherToday(at(9, 1))).toBe(at(11, 45));
    expect(gatherToday(at(18, 30))).toBe(at(19, 30));
    expect(gatherToday(at(18, 31))).toBe(at(17, 30));
    expect(gatherToday(at(23, 59))).toBe(at(17, 30));
  });

  it.each([
    ['summer', '2026-07-01T04:00:00Z'],
    ['winter', '2026-12-31T05:00:00Z'],
    ['clocks going back', '2026-10-31T04:00:00Z'],
    ['clocks going forward', '2027-03-13T05:00:00Z'],
  ])('leaves the demo leader a roll to open, whatever the hour: %s', (_, midnight) => {
    for (let quarter = 0; quarter < 96; quarter += 1) {
      const now = Date.parse(midnight) + quarter * 15 * 60_000;
      const span = spanAround(now);
      const planned = plannedWalks(span, now);
      const { leadersOwn } = chooseStories(planned, span);
      const making = { now, chance: chance(1), settings: groupSettings.parse({}), host: 'walks.example' };
      const open = [...leadersOwn]
        .map((plan) => layWalk({ id: 1, facts: walkFacts(plan.area, plan.route, plan, 12), leaderId: 1, coLeaderId: null }, making))
        .filter((walk) => rollPhase({ state: walk.state, gatherAt: walk.facts.gatherAt }, now) === 'open');
      expect(open.length, new Date(now).toISOString()).toBeGreaterThan(0);
    }
  });
});
