import type Database from 'better-sqlite3';
import { eq, getTableColumns } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { texts, waivers } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { addressMark, erasureProof } from '../privacy/marks.js';
import { KINDS } from '../texts/kinds.js';
import { headMark, linkHash, type WaiverRow } from './chain.js';
import { sha256, waiverDocument } from './document.js';

/** Something that is not as it was when it was signed; `waiverId` is null where it is no one signature's. */
export interface ChainFault {
  waiverId: number | null;
  /** A sentence for whoever runs the service. */
  sentence: string;
}

interface Text {
  id: number;
  kind: 'waiver' | 'agreement';
  version: number;
  sha256: string;
  body: string;
}

const COLUMNS = Object.entries(getTableColumns(waivers)).map(([key, column]) => `${column.name} AS "${key}"`);

/**
 * Walks every signature in the order it was kept and works out anew what was written beside it: its link to the one before, its hash,
 * its document to the last character, its address's mark; then the chain's end. One row is held at a time, all read at one moment.
 */
export function verifyChain(raw: Database.Database, sealer: Sealer): { count: number; faults: ChainFault[] } {
  // A transaction that only reads sees one state of the database, whatever the service writes meanwhile.
  return raw.transaction(() => walk(raw, sealer))();
}

function walk(raw: Database.Database, sealer: Sealer): { count: number; faults: ChainFault[] } {
  const checked = rowCheck(raw, sealer);
  const faults: ChainFault[] = textFaults(raw);
  let [count, last, lastId] = [0, '', 0];
  const rows = raw.prepare<[], WaiverRow>(`SELECT ${COLUMNS.join(', ')} FROM waivers ORDER BY id`);
  for (const row of rows.iterate()) {
    faults.push(...checked(row, last).map((sentence) => ({ waiverId: row.id, sentence })));
    // From the row's own hash on: one that is missing or wrong is one fault, not one for each that follows.
    [count, last, lastId] = [count + 1, row.hash, row.id];
  }
  faults.push(...endFaults(raw, sealer, { count, last, lastId }).map((sentence) => ({ waiverId: null, sentence })));
  return { count, faults };
}

/** A text whose words are not those of its own hash: said once, not for each signature of it. */
function textFaults(raw: Database.Database): ChainFault[] {
  return signedTexts(raw)
    .filter((text) => sha256(text.body) !== text.sha256)
    .map(({ kind, version }) => ({
      waiverId: null,
      sentence: `The words of version ${version} of ${KINDS[kind].name} were changed after it was laid down.`,
    }));
}

/** Every version of the texts that people sign: walkers the waiver, leaders their agreement. */
function signedTexts(raw: Database.Database): Text[] {
  return raw.prepare<[], Text>("SELECT id, kind, version, sha256, body FROM texts WHERE kind IN ('waiver', 'agreement')").all();
}

/** Gives what is wrong with a signature, given the hash of the one before it. */
function rowCheck(raw: Database.Database, sealer: Sealer): (row: WaiverRow, before: string) => string[] {
  const known = new Map(signedTexts(raw).map((text) => [text.id, text]));
  const erasure = raw.prepare<[string], { at: number; proof: string }>('SELECT at, proof FROM erased WHERE mark = ?');
  // An erasure covers what was signed until then, and nothing that came after.
  const isErased = ({ addressMark: mark, keptAt }: WaiverRow) => {
    const found = erasure.get(mark);
    return found !== undefined && keptAt <= found.at && found.proof === erasureProof(sealer, mark, found.at);
  };
  // Who turned up on the day may have given no address.
  const never = addressMark(sealer, '');
  return (row, before) => {
    if (row.hash === '') return ['It stands outside the chain: it has no hash.'];
    const wrong: string[] = [];
    if (row.previous !== before) wrong.push('It does not follow the signature before it: one was taken out, put in or moved here.');
    if (linkHash(row) !== row.hash) wrong.push('What is kept of it is not what was signed: its hash does not fit.');
    wrong.push(...documentFaults(row, known.get(row.textId)));
    if (row.email === '' && row.addressMark !== never && !isErased(row)) wrong.push('Its address is gone, and nobody erased it.');
    if (row.email !== '' && addressMark(sealer, row.email) !== row.addressMark)
      wrong.push('Its address is not the one it was signed with.');
    return wrong;
  };
}

function documentFaults(row: WaiverRow, text: Text | undefined): string[] {
  if (!text) return ['The text that was signed is not there any more.'];
  if (text.kind !== (row.signedAs === 'leader' ? 'agreement' : 'waiver'))
    return [`It stands under ${KINDS[text.kind].name}, which is not what was signed.`];
  if (text.sha256 !== row.textSha256) return [`Version ${text.version} of ${KINDS[text.kind].name} is not the one that was signed.`];
  try {
    return sha256(waiverDocument({ ...row, text }, row.format)) === row.documentSha256
      ? []
      : ['Its document does not render as it was signed.'];
  } catch {
    return [`Its document is in format ${row.format}, which is not known here.`];
  }
}

/** What shows at the end that rows were taken off it, or put on it by someone without the key. */
function endFaults(raw: Database.Database, sealer: Sealer, end: { count: number; last: string; lastId: number }): string[] {
  const given = raw.prepare<[], { seq: number }>("SELECT seq FROM sqlite_sequence WHERE name = 'waivers'").get()?.seq ?? 0;
  const wrong: string[] = [];
  // Numbers are given once and never again: SQLite keeps the last one it gave.
  if (given !== end.lastId) wrong.push(`The last number given was ${given}, the last signature here is number ${end.lastId}.`);
  const head = raw.prepare<[], { waivers: number; hash: string; mark: string }>('SELECT waivers, hash, mark FROM waiver_head').get();
  // It is there from before the first signature on.
  if (!head) return [...wrong, 'Where the chain ends is not written down any more.'];
  if (headMark(sealer, head.waivers, head.hash) !== head.mark) wrong.push('The end of the chain was not written with this key.');
  if (head.waivers !== end.count) wrong.push(`The chain should hold ${head.waivers} signatures; ${end.count} are here.`);
  if (head.hash !== end.last) wrong.push('The last signature is not the one the chain ended with.');
  return wrong;
}

/** How many signatures there are, and the last one's hash: what an operator notes down elsewhere. */
export interface ChainEnd {
  count: number;
  /** Empty before the first. */
  hash: string;
}

/** Where the chain ends by its rows, whether it is whole or not. */
export function chainEnd(raw: Database.Database): ChainEnd {
  const last = raw.prepare<[], string>('SELECT hash FROM waivers ORDER BY id DESC LIMIT 1').pluck().get();
  return { count: raw.prepare<[], number>('SELECT count(*) FROM waivers').pluck().get() ?? 0, hash: last ?? '' };
}

/** Which signature in the chain's order has a hash, 1 for the first; null where none has. In a chain that is whole, nothing up to it was changed. */
export function placeOfHash(raw: Database.Database, hash: string): number | null {
  const id = raw.prepare<[string], number>('SELECT id FROM waivers WHERE hash = ?').pluck().get(hash);
  if (id === undefined) return null;
  return raw.prepare<[number], number>('SELECT count(*) FROM waivers WHERE id <= ?').pluck().get(id) ?? null;
}

/** The document of one signature, made anew from what is kept: the very text that was signed. Null where there is no such signature. */
export function documentOfWaiver(q: Tx, id: number): string | null {
  const found = q.select().from(waivers).innerJoin(texts, eq(texts.id, waivers.textId)).where(eq(waivers.id, id)).get();
  return found ? waiverDocument({ ...found.waivers, text: found.texts }, found.waivers.format) : null;
}
