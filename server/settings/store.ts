import type { Db, Tx } from '../db/open.js';
import { settings } from '../db/schema/index.js';
import { type GroupSettings, groupSettings } from './rules.js';

/** Reads the group's settings; asks the database again only after a write. */
export function settingsReader(db: Db): () => GroupSettings {
  let read: { at: number; value: GroupSettings } | undefined;
  return () => {
    if (read?.at !== db.writes()) {
      const rows = db.q.select().from(settings).all();
      read = { at: db.writes(), value: groupSettings.parse(Object.fromEntries(rows.map((row) => [row.key, row.value]))) };
    }
    return read.value;
  };
}

export function saveSettings(tx: Tx, values: Partial<GroupSettings>): void {
  for (const [key, value] of Object.entries(values)) {
    tx.insert(settings).values({ key, value }).onConflictDoUpdate({ target: settings.key, set: { value } }).run();
  }
}

/** Whether the first-run page has been through: until then there is no group. */
export function isInstalled(current: GroupSettings): boolean {
  return current.groupName !== '';
}
