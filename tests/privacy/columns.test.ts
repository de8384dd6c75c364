import { existsSync, readFileSync } from 'node:fs';
import { getTableConfig, type SQLiteTable } from 'drizzle-orm/sqlite-core';
import { describe, expect, it } from 'vitest';
import type { Db } from '../../server/db/open.js';
import * as schema from '../../server/db/schema/index.js';
import { COLUMNS, type Personal } from '../../server/privacy/columns.js';
import { NOON, openSite } from '../support/app.js';
import { browserOf } from '../support/cast.js';
import { EMAIL, layMarked, OLD_NAME } from './marked.js';

const tables = Object.values(schema).map((table) => getTableConfig(table as SQLiteTable));

const personal = Object.entries(COLUMNS).flatMap(([table, columns]) =>
  Object.entries(columns)
    .filter((entry): entry is [string, Personal] => entry[1] !== 'not personal')
    .map(([column, rule]) => ({ table, column, name: `${table}.${column}`, ...rule })),
);

/** Text columns whose few possible values say nothing of anyone. */
const WORDS = [
  'leaders.state',
  'messages.audience',
  'leaders.since_month',
  'applications.state',
  'board_visits.until_month',
  'attendance.outcome',
  'asks.week',
  'asks.month',
  'asks.day_kind',
  'asks.date',
  'asks.state',
  'pledges.from_month',
  'excused_months.month',
  'leader_terms.from_month',
  'leader_terms.until_month',
  'commitment_mails.decided_month',
  'standing_notes.goes_into',
  'erased.mark',
  'erased.proof',
  'roll_entries.who',
  'routes.shape',
  'sign_ups.state',
  'notices.kind',
  'notices.state',
  'notices.lease',
  'waivers.how',
  'waivers.signed_as',
  'waivers.proof',
  'incidents.state',
  'incidents.due_on',
  'walk_leaders.part',
  'walk_offers.kind',
  'walk_offers.state',
];

/** Everything that is in a database, as text. */
function dump(db: Db): string {
  return tables
    .flatMap(({ name }) => db.raw.prepare(`SELECT * FROM ${name}`).all() as Record<string, unknown>[])
    .map((row) => JSON.stringify(Object.values(row).map((value) => (Buffer.isBuffer(value) ? value.toString('latin1') : value))))
    .join('\n');
}

function fileBytes(db: Db): string {
  return [db.raw.name, `${db.raw.name}-wal`].map((file) => (existsSync(file) ? readFileSync(file, 'latin1') : '')).join('');
}

describe('the registry of columns', () => {
  it.each(tables.map((table) => [table.name, table] as const))('has a rule for each column of %s', (name, table) => {
    expect(Object.keys(COLUMNS[name] ?? {}).sort()).toEqual(table.columns.map((column) => column.name).sort());
  });

  it('has no table that is not there', () => {
    expect(Object.keys(COLUMNS).sort()).toEqual(tables.map((table) => table.name).sort());
  });

  it('says where in /me.json a column is, and there it is', async () => {
    const site = await openSite();
    const { personId } = layMarked(site);
    const all = (await browserOf(site, personId).get('/me.json')).body as unknown;
    const missing = personal.filter((one) => !one.export.startsWith('not exported: ') && !isAt(all, one.export.split('.')));
    expect(missing.map((one) => `${one.name}: ${one.export}`)).toEqual([]);
  });
});

/** Whether a path of keys leads somewhere, through the first entry of each list. */
function isAt(value: unknown, path: string[]): boolean {
  const [key, ...rest] = path;
  const one: unknown = Array.isArray(value) ? value[0] : value;
  if (key === undefined) return value !== undefined;
  if (typeof one !== 'object' || one === null || !(key in one)) return false;
  return isAt((one as Record<string, unknown>)[key], rest);
}

describe('erasing', () => {
  it('leaves of each column what the registry says, in the tables and in the bytes of the file', async () => {
    const site = await openSite();
    const { db } = site;
    const { personId, marks } = layMarked(site);
    const text = new Map(
      tables.flatMap(({ name, columns }) => columns.map((one) => [`${name}.${one.name}`, /text|blob/i.test(one.getSQLType())])),
    );
    expect(
      personal.filter((one) => text.get(one.name) && !marks.has(one.name) && !WORDS.includes(one.name)).map((one) => one.name),
    ).toEqual([]);
    const before = dump(db);
    expect([...marks].filter(([, mark]) => !before.includes(mark))).toEqual([]);
    db.raw.pragma('wal_checkpoint(TRUNCATE)');
    expect(fileBytes(db)).toContain(marks.get('people.name'));

    const browser = browserOf(site, personId);
    const answer = await browser.post('/me/erase', { sure: 'yes' });
    expect([answer.status, answer.headers.location]).toEqual([303, '/me/erased']);

    const after = { tables: dump(db), file: fileBytes(db) };
    const kept = personal.filter((one) => one.erase.startsWith('kept') && marks.has(one.name));
    const gone = personal.filter((one) => !one.erase.startsWith('kept') && marks.has(one.name));
    const isIn = (place: string, name: string) => place.includes(marks.get(name) ?? '');
    expect(gone.filter(({ name }) => isIn(after.tables, name)).map(({ name }) => name)).toEqual([]);
    expect(gone.filter(({ name }) => isIn(after.file, name)).map(({ name }) => name)).toEqual([]);
    expect(kept.filter(({ name }) => !isIn(after.tables, name)).map(({ name }) => name)).toEqual([]);
    for (const place of [after.tables, after.file])
      for (const mark of [
        'Qz-child-zQ',
        'Qz-elsewhere-zQ',
        'qz-Elsewhere-zq',
        'Qz-typed-zQ',
        'Qz-although-zQ',
        'Qz-applied-zQ',
        'Qz-quote-zQ',
        OLD_NAME,
        EMAIL,
      ])
        expect([mark, place.includes(mark)]).toEqual([mark, false]);
    for (const mark of ['Kept-words', 'Kept-why', 'Kept-seer', 'sign-in sheet', 'Abe Away', 'abe@walkers.example'])
      expect([mark, after.tables.includes(mark)]).toEqual([mark, true]);
  });

  it('leaves the counts, a number that is nobody, and a leader who stood down', async () => {
    const site = await openSite();
    const { db } = site;
    const { personId } = layMarked(site);
    await browserOf(site, personId).post('/me/erase', { sure: 'yes' });
    const row = (query: string) => db.raw.prepare(query).get();
    expect(row(`SELECT * FROM people WHERE id = ${personId}`)).toMatchObject({
      name: 'Erased',
      email: `erased:${personId}`,
      phone: null,
      coordinator: 0,
      disabled_at: NOON,
    });
    expect(row(`SELECT state FROM leaders WHERE person_id = ${personId}`)).toEqual({ state: 'stood_down' });
    expect(row("SELECT state, party_size, name, phone FROM sign_ups WHERE email LIKE 'erased:%'")).toEqual({
      state: 'confirmed',
      party_size: 2,
      name: 'Erased',
      phone: '',
    });
    expect(row('SELECT email, for_name FROM waivers')).toEqual({ email: '', for_name: 'Qz-waivers-for_name-zQ' });
    expect(row("SELECT email, name FROM people WHERE name = 'Bea Stander'")).toMatchObject({ email: 'bea@walkers.example' });
    expect(db.raw.prepare("SELECT count(*) FROM notices WHERE to_email = 'bea@walkers.example'").pluck().get()).toBe(10);
    expect(db.raw.pragma('foreign_key_check')).toEqual([]);
  });
});
