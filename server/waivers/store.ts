import { sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { waivers } from '../db/schema/index.js';
import { textInForce } from '../texts/store.js';
import { nameKey } from './rules.js';

const signedTexts = prepared((q) =>
  q
    .select({ email: waivers.email, forKey: waivers.forKey })
    .from(waivers)
    .where(
      sql`${waivers.email} IN (SELECT value FROM json_each(${sql.placeholder('emails')})) AND ${waivers.textId} = ${sql.placeholder('textId')}`,
    )
    .prepare(),
);

/** Tells, for some e-mail addresses, which names have signed the waiver text now in force. One query. */
export function signedBy(q: Tx, signers: { email: string }[]): (email: string, name: string) => boolean {
  const emails = JSON.stringify([...new Set(signers.map((signer) => signer.email))]);
  const rows = signedTexts(q).all({ emails, textId: textInForce(q, 'waiver').id });
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
  waiverAdded(tx).run({ ...rest, textId: text.id, textSha256: text.sha256, forKey: nameKey(signed.forName), signedAt: now });
}

const waiverAdded = prepared((q) =>
  q
    .insert(waivers)
    .values({
      textId: sql.placeholder('textId'),
      textSha256: sql.placeholder('textSha256'),
      signUpId: sql.placeholder('signUpId'),
      memberId: sql.placeholder('memberId'),
      email: sql.placeholder('email'),
      forName: sql.placeholder('forName'),
      forKey: sql.placeholder('forKey'),
      signature: sql.placeholder('signature'),
      signedAt: sql.placeholder('signedAt'),
      signedAs: 'self',
    })
    .prepare(),
);
