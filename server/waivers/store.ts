import { and, eq, inArray } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { waivers } from '../db/schema/index.js';
import { textInForce } from '../texts/store.js';
import { nameKey } from './rules.js';

/** Tells, for some e-mail addresses, which names have signed the waiver text now in force. One query. */
export function signedBy(q: Tx, signers: { email: string }[]): (email: string, name: string) => boolean {
  const emails = [...new Set(signers.map((signer) => signer.email))];
  const rows = q
    .select({ email: waivers.email, forKey: waivers.forKey })
    .from(waivers)
    .where(and(inArray(waivers.email, emails), eq(waivers.textId, textInForce(q, 'waiver').id)))
    .all();
  const signed = new Set(rows.map((row) => `${row.email}\n${row.forKey}`));
  return (email, name) => signed.has(`${email}\n${nameKey(name)}`);
}

interface Signature {
  text: { id: number; sha256: string };
  signUpId: number;
  memberId: number;
  email: string;
  forName: string;
  signature: string;
  now: number;
}

/** Keeps one adult's signature of one version of the text. Never changed afterwards. */
export function sign(tx: Tx, signed: Signature): void {
  const { text, now, ...rest } = signed;
  tx.insert(waivers)
    .values({ ...rest, textId: text.id, textSha256: text.sha256, forKey: nameKey(signed.forName), signedAs: 'self', signedAt: now })
    .run();
}
