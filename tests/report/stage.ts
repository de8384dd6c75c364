import { type CommitmentStage, openCommitment } from '../commitment/stage.js';

export { CHICAGO, NEW_YORK } from '../commitment/stage.js';

export interface Booked {
  email: string;
  adults?: number;
  minors?: number;
  removed?: number;
  state?: 'confirmed' | 'waiting' | 'withdrawn';
}

export interface ReportStage extends CommitmentStage {
  book: (walkId: number, booked: Booked) => void;
  close: (walkId: number) => void;
  /** Closes a walk with who came: how far each party member walked, in their order (null: absent), then each who turned up. */
  settle: (walkId: number, members: (number | null)[], turnedUp?: number[]) => void;
}

/** The stage of commitments, with parties booked straight into the tables: the report only reads. */
export async function openReport(): Promise<ReportStage> {
  const stage = await openCommitment();
  const { raw } = stage.site.db;
  const signUp = raw.prepare(`
    INSERT INTO sign_ups (walk_id, token_hash, post_mark, state, name, email, phone, phone_typed, party_size, rules_text_id, rules_agreed_at, created_at)
      VALUES (?, lower(hex(randomblob(16))), '', ?, 'Ana', ?, '', '', ?, 1, 0, 0)`);
  const member = raw.prepare('INSERT INTO party_members (sign_up_id, name, minor, removed_at) VALUES (?, ?, ?, ?)');
  return {
    ...stage,
    book: (walkId, { email, adults = 1, minors = 0, removed = 0, state = 'confirmed' }) => {
      const { lastInsertRowid: id } = signUp.run(walkId, state, email, adults + minors);
      for (let count = 0; count < adults + minors; count += 1) member.run(id, 'Someone', count < adults ? 0 : 1, null);
      for (let count = 0; count < removed; count += 1) member.run(id, 'Left', 1, 1);
    },
    close: (walkId) => raw.prepare("UPDATE walks SET state = 'closed', closed_at = set_off_at + 1 WHERE id = ?").run(walkId),
    settle: (walkId, members, turnedUp = []) => {
      raw.prepare("UPDATE walks SET state = 'closed', closed_at = set_off_at + 1 WHERE id = ?").run(walkId);
      const ids = raw
        .prepare(
          'SELECT m.id FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id WHERE s.walk_id = ? AND m.removed_at IS NULL ORDER BY m.id',
        )
        .pluck()
        .all(walkId);
      const row = raw.prepare('INSERT INTO attendance (walk_id, member_id, turned_up_id, outcome, metres) VALUES (?, ?, ?, ?, ?)');
      for (const [index, metres] of members.entries()) row.run(walkId, ids[index], null, metres === null ? 'absent' : 'full', metres ?? 0);
      for (const [index, metres] of turnedUp.entries()) {
        const extra = raw
          .prepare("INSERT INTO turned_up (walk_id, key, name, added_at) VALUES (?, ?, 'Someone', 0)")
          .run(walkId, `turned-up-${index}`);
        row.run(walkId, null, extra.lastInsertRowid, 'full', metres);
      }
    },
  };
}
