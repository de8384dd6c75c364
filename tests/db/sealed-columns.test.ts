import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { getTableConfig, type SQLiteTable } from 'drizzle-orm/sqlite-core';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import * as schema from '../../server/db/schema/index.js';
import { SEALED } from '../../server/db/sealed-columns.js';
import { freshDatabase } from '../support/app.js';

const listed = SEALED.map(({ table, column }) => `${table}.${column}`).sort();

it('every column named for it is in the list of what a change of keys seals again', () => {
  const tables = Object.values(schema).map((table) => getTableConfig(table as SQLiteTable));
  const columns = tables.flatMap((table) => table.columns.map((column) => [table.name, column.name] as const));
  expect(
    columns
      .filter(([, column]) => /seal/.test(column))
      .map((names) => names.join('.'))
      .sort(),
  ).toEqual(listed);
});

it('every place that the program seals something for is in the list, but for the settings, which the keyring seals itself', () => {
  const sources = readdirSync(join(ROOT, 'server'), { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.ts'));
  const places = sources
    .flatMap((name) => [...readFileSync(join(ROOT, 'server', name), 'utf8').matchAll(/table: '(\w+)', column: '(\w+)'/g)])
    .map(([, table, column]) => `${table}.${column}`);
  expect([...new Set(places)].filter((place) => place !== 'settings.value').sort()).toEqual(listed);
});

it('each is a column of blobs, in a table whose rows keep their number', () => {
  const db = freshDatabase();
  for (const { table, column, row } of SEALED) {
    const columns = db.raw.pragma(`table_info(${table})`) as { name: string; type: string; pk: number; notnull: number }[];
    expect(columns.find(({ name }) => name === column)).toMatchObject({ type: 'BLOB', notnull: 1 });
    expect(columns.find(({ name }) => name === row)).toMatchObject({ type: 'INTEGER', pk: 1 });
  }
  db.close();
});
