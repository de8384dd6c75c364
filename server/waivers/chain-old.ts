import { asc, eq, ne } from 'drizzle-orm';
import type { Db, Tx } from '../db/open.js';
import { texts, waiverHead, waivers } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { addressMark } from '../privacy/marks.js';
import { linkHash } from './chain.js';
import { sha256, waiverDocument } from './document.js';
import { keepHead } from './store.js';

/**
 * Chains the signatures that were kept before there was a chain, all of them or none; gives how many. Does nothing once there is a
 * chain: a row without a hash that turns up later was put in by hand, and is left for `verifyChain` to find.
 */
export function chainOld(db: Db, sealer: Sealer): number {
  if (hasChain(db.q)) return 0;
  const old = db.q.select({ id: waivers.id }).from(waivers).orderBy(asc(waivers.id)).all();
  if (old.length === 0) return 0;
  db.write((tx) => {
    let last = '';
    for (const { id } of old) last = chainRow(tx, sealer, id, last);
    keepHead(tx, sealer, old.length, last);
  });
  return old.length;
}

function hasChain(q: Tx): boolean {
  const head = q.select({ id: waiverHead.id }).from(waiverHead).get();
  return head !== undefined || q.select({ id: waivers.id }).from(waivers).where(ne(waivers.hash, '')).limit(1).get() !== undefined;
}

/** Writes one row's mark, document and link; gives its hash. */
function chainRow(tx: Tx, sealer: Sealer, id: number, previous: string): string {
  const found = tx.select().from(waivers).innerJoin(texts, eq(texts.id, waivers.textId)).where(eq(waivers.id, id)).get();
  if (!found) throw new Error(`the text that signature ${id} is for is not there`);
  const document = waiverDocument({ ...found.waivers, text: found.texts }, found.waivers.format);
  const set = { addressMark: addressMark(sealer, found.waivers.email), documentSha256: sha256(document), previous };
  const hash = linkHash({ ...found.waivers, ...set });
  tx.update(waivers)
    .set({ ...set, hash })
    .where(eq(waivers.id, id))
    .run();
  return hash;
}
