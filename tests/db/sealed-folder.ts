import { chmodSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Config, ROOT, readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { connect, type Db } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { SEALED } from '../../server/db/sealed-columns.js';
import { passingFolder } from '../support/folder.js';

export const STEPS = readMigrations(join(ROOT, 'migrations'));
/** Keys of these tests, in hexadecimal digits. */
export const KEYS = { old: '0a'.repeat(32), new: '0b'.repeat(32), other: '0c'.repeat(32) };

export interface Laid {
  dataDir: string;
  config: (set?: Record<string, string>) => Config;
  /** What a sign-up's link and an address's mark were when the folder was laid. */
  derived: string;
}

/**
 * A DATA_DIR as a service of the version left it that knew one key by a sealed word: walks and sign-ups, `contacts` sealed emergency
 * contacts, and, from version 3 on, as many kept ones.
 */
export function layFolder(contacts = 20, version = STEPS.length): Laid {
  const dataDir = passingFolder();
  writeKeyFile(dataDir, [KEYS.old]);
  const sealer = new Sealer(Buffer.from(KEYS.old, 'hex'));
  const raw = connect(join(dataDir, 'waymeet.db'));
  migrate(raw, STEPS.slice(0, 2));
  raw.exec(readFileSync(join(ROOT, 'tests/db/fixtures/0002.sql'), 'utf8'));
  raw.exec('DELETE FROM emergency_contacts');
  migrate(raw, STEPS.slice(0, version));
  raw.transaction(() => {
    const probe = sealer.seal({ table: 'settings', column: 'value', row: 0 }, 'waymeet').toString('base64');
    raw.prepare("INSERT INTO settings (key, value) VALUES ('sealProbe', ?)").run(JSON.stringify(probe));
    const member = raw.prepare("INSERT INTO party_members (sign_up_id, name) SELECT min(id), 'Bo' FROM sign_ups");
    const contact = raw.prepare('INSERT INTO emergency_contacts (member_id, sealed, created_at) VALUES (?, ?, 0)');
    const kept = version < 3 ? null : raw.prepare("INSERT INTO kept_contacts VALUES (?, 1, 'Bo', ?, ?, 0, 0)");
    for (let index = 1; index <= contacts; index += 1) {
      const row = Number(member.run().lastInsertRowid);
      contact.run(row, sealer.seal({ table: 'emergency_contacts', column: 'sealed', row }, contactOf(row)));
      kept?.run(index, `bo ${index}`, sealer.seal({ table: 'kept_contacts', column: 'sealed', row: index }, contactOf(index)));
    }
  })();
  raw.close();
  return { dataDir, config: (set = {}) => readConfig({ DATA_DIR: dataDir, ...set }), derived: derived(sealer) };
}

function contactOf(row: number) {
  return { name: `Rui Ferreira ${row}`, phone: '+12025550188' };
}

export function derived(sealer: Sealer): string {
  return `${sealer.derive('sign-up', 7)} ${sealer.derive('address', 'ana@walkers.example')}`;
}

export function writeKeyFile(dataDir: string, keys: string[]): void {
  writeFileSync(join(dataDir, 'seal.key'), keys.map((key) => `${key}\n`).join(''), { mode: 0o600 });
  chmodSync(join(dataDir, 'seal.key'), 0o600);
}

export function keyLines(dataDir: string): string[] {
  return readFileSync(join(dataDir, 'seal.key'), 'utf8').trim().split('\n');
}

/** Every sealed value of the database, by place, with the number of its key. */
export function sealedValues(db: Db) {
  return SEALED.flatMap(({ table, column, row }) =>
    (db.raw.prepare(`SELECT ${row} AS row, ${column} AS sealed FROM ${table}`).all() as { row: number; sealed: Buffer }[]).map((one) => ({
      ...one,
      place: { table, column, row: one.row },
      keyId: one.sealed[1] ?? 0,
    })),
  );
}

/** Starts on the folder as the service does and opens everything: what does not open as it was, the key numbers in use, what is derived, what the log said. */
export function startAndOpenAll({ config }: Laid, set: Record<string, string> = {}) {
  const log: string[] = [];
  const { db, sealer, close } = openFolder(config(set), (line) => log.push(line));
  try {
    const values = sealedValues(db);
    const wrong = values.filter(({ place, sealed }) => {
      try {
        return JSON.stringify(sealer.open(place, sealed)) !== JSON.stringify(contactOf(place.row));
      } catch {
        return true;
      }
    });
    const keyIds = [...new Set(values.map(({ keyId }) => keyId))].sort();
    return { count: values.length, wrong: wrong.map(({ place }) => `${place.table} ${place.row}`), keyIds, derived: derived(sealer), log };
  } finally {
    close();
  }
}
