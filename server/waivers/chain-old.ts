import type Database from 'better-sqlite3';
import type { Sealer } from '../db/seal.js';
import { addressMark } from '../privacy/marks.js';
import { headMark, linkHash, type WaiverRow } from './chain.js';
import { sha256, waiverDocument } from './document.js';

/** A signature and the text that it is for. */
type Signed = WaiverRow & { version: number; sha256: string; body: string };

// In SQL, and of these columns only: it runs between two steps of migrating, where the tables are not yet as the program knows them.
const OLD = `SELECT w.id, w.how, w.text_id AS textId, w.text_sha256 AS textSha256, w.sign_up_id AS signUpId, w.member_id AS memberId, w.email,
    w.address_mark AS addressMark, w.for_name AS forName, w.for_key AS forKey, w.signed_as AS signedAs, w.signer_name AS signerName,
    w.signer_key AS signerKey, w.signature, w.intent, w.consent, w.proof, w.seen_by AS seenBy, w.signed_at AS signedAt, w.kept_at AS keptAt,
    w.format, w.document_sha256 AS documentSha256, w.previous, w.hash, t.version, t.sha256, t.body
  FROM waivers w JOIN texts t ON t.id = w.text_id WHERE w.id = ?`;

/**
 * Begins the chain with the signatures that are older than it, in the transaction it is called in, and writes where it ends; gives how many
 * they are. For the step of migrating that brought the chain, and for nothing else: called later, it would make genuine what was put in by hand.
 */
export function chainOld(raw: Database.Database, sealer: Sealer): number {
  const ids = raw.prepare<[], number>('SELECT id FROM waivers ORDER BY id').pluck().all();
  const find = raw.prepare<[number], Signed>(OLD);
  const put = raw.prepare('UPDATE waivers SET address_mark = ?, document_sha256 = ?, previous = ?, hash = ? WHERE id = ?');
  let last = '';
  for (const id of ids) {
    const row = find.get(id);
    if (!row) throw new Error(`the text that signature ${id} is for is not there`);
    const document = waiverDocument({ ...row, text: row }, row.format);
    const linked = { ...row, addressMark: addressMark(sealer, row.email), documentSha256: sha256(document), previous: last };
    last = linkHash(linked);
    put.run(linked.addressMark, linked.documentSha256, linked.previous, last, id);
  }
  raw
    .prepare('INSERT INTO waiver_head (id, waivers, hash, mark) VALUES (1, ?, ?, ?)')
    .run(ids.length, last, headMark(sealer, ids.length, last));
  return ids.length;
}
