import { getTableConfig, type SQLiteTable } from 'drizzle-orm/sqlite-core';
import { describe, expect, it } from 'vitest';
import * as schema from '../../server/db/schema/index.js';
import { freshDatabase } from '../support/app.js';

const tables = Object.values(schema).map((table) => getTableConfig(table as SQLiteTable));

interface Column {
  name: string;
  notnull: number;
  type: string;
}

describe('the tables as drizzle sees them', () => {
  it.each(tables.map((table) => [table.name, table] as const))('%s has the columns that the migrations made', (name, table) => {
    const db = freshDatabase();
    const made = db.raw.pragma(`table_info(${name})`) as Column[];
    const primary = new Set(['id', 'member_id', 'person_id', 'waiver_id', 'walk_id', 'turned_up_id']);
    expect(table.columns.map((column) => [column.name, column.getSQLType().toUpperCase()]).sort()).toEqual(
      made.map((column) => [column.name, column.type]).sort(),
    );
    for (const column of made) {
      const seen = table.columns.find((one) => one.name === column.name);
      if (!primary.has(column.name)) expect([column.name, seen?.notNull]).toEqual([column.name, column.notnull === 1]);
    }
    db.close();
  });

  it('are all there are, and all STRICT', () => {
    const db = freshDatabase();
    const made = db.raw.pragma('table_list') as { name: string; strict: number; type: string; schema: string }[];
    const own = made.filter((table) => table.schema === 'main' && !table.name.startsWith('sqlite_'));
    expect(own.map((table) => table.name).sort()).toEqual(tables.map((table) => table.name).sort());
    expect(own.filter((table) => table.strict !== 1)).toEqual([]);
    db.close();
  });
});
