import type { Db } from '../db/open.js';

const MINUTE_MS = 60_000;
const MOST_KEPT = 200;

/**
 * Answers that are the same for every visitor, kept until the database is next written (and no longer than the minute they were made
 * in, since "in 2 days" is about the clock). One object an app.
 */
export class Kept<T> {
  readonly #db: Db;
  readonly #now: () => number;
  readonly #answers = new Map<string, T>();
  #writes = -1;
  #minute = -1;

  constructor(db: Db, now: () => number) {
    this.#db = db;
    this.#now = now;
  }

  get(key: string, make: () => T): T {
    const minute = Math.floor(this.#now() / MINUTE_MS);
    if (this.#db.writes() !== this.#writes || minute !== this.#minute || this.#answers.size > MOST_KEPT) {
      this.#answers.clear();
      this.#writes = this.#db.writes();
      this.#minute = minute;
    }
    const kept = this.#answers.get(key);
    if (kept !== undefined) return kept;
    const made = make();
    this.#answers.set(key, made);
    return made;
  }
}

/** What `kept` has under a key, made where it has nothing. At `most` values all are let go: what is asked for often is soon there again. */
export function keptIn<T extends object>(kept: Map<string, T>, most: number, key: string, make: () => T): T {
  const known = kept.get(key);
  if (known) return known;
  const made = make();
  if (kept.size >= most) kept.clear();
  kept.set(key, made);
  return made;
}
