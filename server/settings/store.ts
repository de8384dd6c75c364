import type { Db, Tx } from '../db/open.js';
import { settings } from '../db/schema/index.js';
import { type GroupSettings, groupSettings } from './rules.js';

/** Reads the group's settings: looked up each time after a write, worked out only where they changed. */
export function settingsReader(db: Db): () => GroupSettings {
  const rows = db.raw.prepare<[], { all: string }>("SELECT json_group_object(key, json(value)) AS 'all' FROM settings");
  let at = -1;
  let text = '';
  let value = groupSettings.parse({});
  return () => {
    if (at === db.writes()) return value;
    at = db.writes();
    const stored = rows.get()?.all ?? '{}';
    if (stored !== text) {
      text = stored;
      value = groupSettings.parse(JSON.parse(stored));
    }
    return value;
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
