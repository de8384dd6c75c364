import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { belongToFolder } from './durable.js';

export const LOCK = 'waymeet.lock';

/** Holds DATA_DIR for this process, until what it gives is called: the operating system lets go when it dies, however it dies. */
export function holdFolder(folder: string): () => void {
  const file = join(folder, LOCK);
  const isNew = !existsSync(file);
  const held = new Database(file, { timeout: 1000 });
  try {
    if (isNew) belongToFolder(file);
    held.pragma('journal_mode = DELETE');
    held.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    held.close();
    if (!(error instanceof Database.SqliteError) || !error.code.startsWith('SQLITE_BUSY')) throw error;
    throw new Error(`Another Waymeet is running on ${folder}. Stop it first, or set another DATA_DIR.`, { cause: error });
  }
  return () => {
    held.close();
  };
}
