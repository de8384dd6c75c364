import { z } from 'zod';
import { line } from '../web/forms.js';
import type { NewName, Refused, SentEntry } from './contract.js';
import { HOME, TOLD } from './ledger.js';

/** The most that a phone sends at once; it sends the rest after it. */
export const MOST_ENTRIES = 500;
const MOST_PEOPLE = 200;
/** More stops than any walk has. */
const MOST_STOPS = 99;
/** More phones never say something of one person at a time. */
const MOST_AFTER = 100;
const MOST_NAME = 100;

const id = z.string().regex(/^[A-Za-z0-9_-]{16,40}$/);
const key = z.string().regex(/^[A-Za-z0-9_-]{8,40}$/);
const person = z.string().regex(/^(m[1-9]\d{0,15}|t[A-Za-z0-9_-]{8,40})$/);
const leader = z.string().regex(/^p[1-9]\d{0,15}$/);
const at = z.int().min(0).max(Number.MAX_SAFE_INTEGER);
const reached = z.int().min(1).max(MOST_STOPS);

const personSaid = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.enum(['expected', 'not walking', 'arrived', 'set off', 'finished']) }),
  z.strictObject({ kind: z.literal('stop'), stop: reached }),
  z.strictObject({ kind: z.literal('left'), stop: z.int().min(0).max(MOST_STOPS), told: z.enum(TOLD), home: z.enum(HOME) }),
]);
const groupSaid = z.union([
  z.strictObject({ kind: z.literal('group'), at: z.enum(['gathering', 'set off', 'finish']) }),
  z.strictObject({ kind: z.literal('group'), at: z.literal('stop'), stop: reached }),
]);
const backSaid = z.strictObject({ kind: z.literal('back'), who: z.union([person, leader]) });
const withSaid = z.strictObject({ kind: z.literal('with'), minor: person, guardian: person });

const after = z.array(id).max(MOST_AFTER);
const entry = z.union([
  z.object({ entry: id, who: person, said: personSaid, after, at }),
  z.object({ entry: id, who: z.literal('group'), said: groupSaid, after, at }),
  z.object({ entry: id, who: z.literal('back'), said: backSaid, after, at }),
  z.object({ entry: id, who: z.literal('with'), said: withSaid, after, at }),
]);

const batch = z.object({
  device: key,
  sentAt: at,
  entries: z.array(z.unknown()).max(MOST_ENTRIES),
  people: z
    .array(z.object({ key, name: z.string().max(1000) }))
    .max(MOST_PEOPLE)
    .default([]),
});

/** What a phone sent: the entries that can be read, and those that can't, each on its own, so that one bad entry keeps no other from the roll. */
export interface Batch {
  device: string;
  sentAt: number;
  entries: SentEntry[];
  people: NewName[];
  refused: Refused[];
}

/** Reads a phone's batch; null where it is none. Pure. */
export function readBatch(body: unknown): Batch | null {
  const read = batch.safeParse(body);
  if (!read.success) return null;
  const { device, sentAt, entries, people } = read.data;
  const results = entries.map((one) => ({ one, parsed: entry.safeParse(one) }));
  return {
    device,
    sentAt,
    entries: results.flatMap(({ parsed }) => (parsed.success ? [parsed.data] : [])),
    people: people.map((one) => ({ key: one.key, name: nameOf(one.name) })),
    refused: results.flatMap(({ one, parsed }) =>
      parsed.success ? [] : [{ entry: idOf(one), sentence: 'This entry could not be read. Say it again on the roll.' }],
    ),
  };
}

/** A name that is too long is cut, an empty one said to be so: a person on the walk is never refused. */
function nameOf(typed: string): string {
  return line({ name: typed }, 'name').slice(0, MOST_NAME).toWellFormed().trim() || 'No name given';
}

function idOf(one: unknown): string {
  const found = z.object({ entry: z.string().max(200) }).safeParse(one);
  return found.success ? found.data.entry : '';
}
