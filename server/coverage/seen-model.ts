import { createHash } from 'node:crypto';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords, when } from '../web/when.js';
import type { Changes, Seen } from './changes.js';
import type { NamedWalk } from './store.js';
import { wantedWords } from './words.js';

const MOST_SHOWN = 8;

/** What changed since the last visit, as the board says it. */
export function changesModel(
  seen: Seen,
  { opened, closed, passed, dropped }: Changes,
  { settings, zone, named }: { settings: GroupSettings; zone: string; named: ReadonlyMap<number, NamedWalk> },
) {
  const shown = (all: number) => (all > MOST_SHOWN ? all - MOST_SHOWN : 0);
  return {
    since: when(seen.seenAt, zone, settings),
    nothing: opened.length + closed.length + passed + dropped === 0,
    opened: opened.slice(0, MOST_SHOWN).map(({ area, need, date }) => ({ area: area.name, words: wantedWords(need, date, settings) })),
    moreOpened: shown(opened.length),
    closed: closed.slice(0, MOST_SHOWN).map(({ area, walk }) => ({
      area: area.name,
      date: dateWords(walk.date, settings.locale),
      name: named.get(walk.id)?.routeName ?? '',
      href: `/walks/${walk.id}`,
    })),
    moreClosed: shown(closed.length),
    passed,
    dropped,
  };
}

/** The walks that are named among the changes. */
export function walksNamed({ closed }: Changes): number[] {
  return closed.slice(0, MOST_SHOWN).map(({ walk }) => walk.id);
}

/** A short mark of the gaps that a page shows: a form that brings another was made from an older board. */
export function markOf(gaps: string[]): string {
  return createHash('sha256').update(JSON.stringify(gaps)).digest('base64url').slice(0, 16);
}
