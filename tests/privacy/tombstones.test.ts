import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { connect, type Db, wrap } from '../../server/db/open.js';
import { people } from '../../server/db/schema/index.js';
import { Sealer } from '../../server/db/seal.js';
import { eraseAddress, forgetAddress } from '../../server/privacy/erase.js';
import { addressMark, erasureProof } from '../../server/privacy/marks.js';
import { eraseAgain, layTombstones, readTombstones } from '../../server/privacy/tombstones.js';
import { freshDatabase, NOON } from '../support/app.js';
import { passingFolder } from '../support/folder.js';

const sealer = new Sealer(Buffer.alloc(32, 7));
const ANA = 'ana@walkers.example';
const MARK = addressMark(sealer, ANA);

let db: Db;
let folder: string;

beforeEach(() => {
  db = freshDatabase();
  folder = passingFolder();
});

function add(email: string): void {
  db.write((tx) => tx.insert(people).values({ name: 'Ana', email, createdAt: NOON }).run());
}

function emails(of = db): string[] {
  return of.q
    .select({ email: people.email })
    .from(people)
    .all()
    .map((row) => row.email);
}

/** What erasing does: the file first, then the database. */
function erase(at: number): void {
  layTombstones(folder, sealer, [{ mark: MARK, at }]);
  db.write((tx) => eraseAddress(tx, { sealer }, ANA, at));
}

/** A copy of the database as it stands, opened. */
function backup(): () => void {
  const copy = join(folder, 'backup.db');
  db.raw.pragma('wal_checkpoint(TRUNCATE)');
  copyFileSync(db.raw.name, copy);
  return () => {
    db.close();
    db = wrap(connect(copy));
  };
}

describe('who was erased', () => {
  it('is erased again where an older backup is put back, and once only', () => {
    add(ANA);
    add('ben@walkers.example');
    const putBack = backup();
    erase(NOON);
    putBack();
    expect(emails()).toContain(ANA);
    expect(eraseAgain(db, sealer, folder)).toBe(1);
    expect(emails()).toEqual(['ben@walkers.example']);
    expect(db.raw.prepare('SELECT * FROM erased').all()).toEqual([{ mark: MARK, at: NOON, proof: erasureProof(sealer, MARK, NOON) }]);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
  });

  it('is erased at the next start where the service stopped between file and database', () => {
    add(ANA);
    layTombstones(folder, sealer, [{ mark: MARK, at: NOON }]);
    expect(eraseAgain(db, sealer, folder)).toBe(1);
    expect(emails()).toEqual([]);
  });

  it('may come back: later starts, and backups made since, leave them alone', () => {
    add(ANA);
    erase(NOON);
    add(ANA);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    const putBack = backup();
    putBack();
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(emails()).toEqual([ANA]);
  });

  it('and came back, and was erased once more, is erased again by a backup from between', () => {
    add(ANA);
    erase(NOON);
    add(ANA);
    const putBack = backup();
    erase(NOON + 1);
    putBack();
    expect(emails()).toEqual([ANA]);
    expect(eraseAgain(db, sealer, folder)).toBe(1);
    expect(emails()).toEqual([]);
  });

  it('is remembered where the backup no longer has them, so that coming back is no second erasing', () => {
    layTombstones(folder, sealer, [{ mark: MARK, at: NOON }]);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    add(ANA);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(emails()).toEqual([ANA]);
  });

  it('is written out of the table where DATA_DIR has no file, or one that lacks them', () => {
    add(ANA);
    db.write((tx) => eraseAddress(tx, { sealer }, ANA, NOON));
    const ben = addressMark(sealer, 'ben@walkers.example');
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(readTombstones(folder, sealer)).toEqual(new Map([[MARK, NOON]]));
    db.write((tx) => eraseAddress(tx, { sealer }, 'ben@walkers.example', NOON + 5));
    eraseAgain(db, sealer, folder);
    expect(readTombstones(folder, sealer)).toEqual(
      new Map([
        [MARK, NOON],
        [ben, NOON + 5],
      ]),
    );
    eraseAgain(db, sealer, folder);
    expect(readFileSync(join(folder, 'erased.list'), 'utf8').split('\n')).toHaveLength(3);
  });

  it('is known in spite of a line that a crash cut short, and of lines that are none', () => {
    writeFileSync(join(folder, 'erased.list'), `nonsense\n${MARK} yesterday\n${MARK.slice(0, 20)}`);
    layTombstones(folder, sealer, [{ mark: MARK, at: NOON }]);
    expect(readTombstones(folder, sealer)).toEqual(new Map([[MARK, NOON]]));
  });
});

describe('whom the calendar forgot', () => {
  /** A signature with Ana's address, so that forgetting her leaves a mark. */
  function sign(): void {
    db.raw
      .prepare(
        `INSERT INTO waivers (how, text_id, text_sha256, email, address_mark, for_name, for_key, signed_as, signer_name, signer_key,
          signature, intent, consent, proof, seen_by, signed_at, kept_at, document_sha256, format, previous, hash)
        SELECT 'file', id, sha256, ?, ?, 'Ana', 'ana', 'self', 'Ana', 'ana', '', 'i', '', 'none', 'Lena', 1, 1, 'd', 1, 'p', 'h'
        FROM texts WHERE kind = 'waiver'`,
      )
      .run(ANA, MARK);
  }

  function forgetOnTime(at: number): void {
    db.write((tx) => forgetAddress(tx, { sealer }, ANA, at));
  }

  it('and who signed up again later stays, at each start and in each backup made since', () => {
    add(ANA);
    sign();
    forgetOnTime(NOON);
    add(ANA);
    const putBack = backup();
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(emails()).toEqual([ANA]);
    putBack();
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(emails()).toEqual([ANA]);
  });

  it('is forgotten again where a backup from before that is put back, and may come once more', () => {
    add(ANA);
    sign();
    const putBack = backup();
    forgetOnTime(NOON);
    add(ANA);
    eraseAgain(db, sealer, folder);
    putBack();
    expect(eraseAgain(db, sealer, folder)).toBe(1);
    expect(emails()).toEqual([]);
    add(ANA);
    expect(eraseAgain(db, sealer, folder)).toBe(0);
    expect(emails()).toEqual([ANA]);
  });

  it('is marked nowhere without a signature', () => {
    add(ANA);
    forgetOnTime(NOON);
    eraseAgain(db, sealer, folder);
    expect(readTombstones(folder, sealer).size).toBe(0);
  });
});

it('a made-up erasure becomes genuine neither by way of the table nor of the file', () => {
  add(ANA);
  db.raw.prepare('INSERT INTO erased VALUES (?, ?, ?)').run(MARK, NOON, 'made up');
  expect(eraseAgain(db, sealer, folder)).toBe(0);
  expect(readTombstones(folder, sealer).size).toBe(0);
  writeFileSync(join(folder, 'erased.list'), `${MARK} ${new Date(NOON).toISOString()} ${'x'.repeat(43)}\n`);
  db.raw.exec('DELETE FROM erased');
  expect(eraseAgain(db, sealer, folder)).toBe(0);
  expect(emails()).toEqual([ANA]);
  expect(db.raw.prepare('SELECT count(*) FROM erased').pluck().get()).toBe(0);
});
