import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { erased, waivers } from '../../server/db/schema/index.js';
import { markErased } from '../../server/privacy/erase.js';
import { headMark, linkHash, type WaiverRow } from '../../server/waivers/chain.js';
import { sha256 } from '../../server/waivers/document.js';
import { keepHead } from '../../server/waivers/store.js';
import { documentOfWaiver, verifyChain } from '../../server/waivers/verify.js';
import type { TestSite } from '../support/app.js';
import { newText, opened, partyFor, signed } from './stage.js';

/** Five signatures under two versions of the text, typed, on paper and on file, one of them a guardian's. */
async function signedSite() {
  const { site, walkId } = await opened();
  const { signUpId, members } = site.db.write((tx) =>
    partyFor(tx, walkId, [{ name: 'Ana Ferreira' }, { name: 'Tom Ferreira', minor: true, guardian: 0 }]),
  );
  const [ana = 0, tom = 0] = members;
  const typed = { how: 'page', seenBy: '', consent: 'I agree.', proof: 'link', signUpId, email: 'ana@walkers.example' } as const;
  signed(site, 'Ana Ferreira', { ...typed, memberId: ana });
  signed(site, 'Ana Ferreira', { ...typed, memberId: tom, forName: 'Tom Ferreira', signedAs: 'guardian' });
  signed(site, 'Bea Birch');
  site.db.write((tx) => newText(tx, 'Second words.'));
  signed(site, 'Ana Ferreira', { how: 'paper', signUpId, memberId: ana, email: 'ana@walkers.example' });
  signed(site, 'Cai Dale');
  return site;
}

function faultsOf(site: TestSite) {
  return verifyChain(site.db.raw, site.services.sealer).faults;
}

/** Someone with the file in their hands and without the key. */
function tamper(site: TestSite, sql: string): void {
  site.db.raw.exec(
    'PRAGMA foreign_keys = OFF; DROP TRIGGER IF EXISTS waivers_stay; DROP TRIGGER IF EXISTS waivers_fixed; DROP TRIGGER IF EXISTS waivers_added;',
  );
  site.db.raw.exec(sql);
}

function rowOf(site: TestSite, id: number): WaiverRow {
  const row = site.db.q.select().from(waivers).where(eq(waivers.id, id)).get();
  if (!row) throw new Error(`no signature ${id}`);
  return row;
}

describe('the chain of signatures', () => {
  it('is whole as it was kept, and as it is before the first', async () => {
    const { site } = await opened();
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 0, faults: [] });
    const full = await signedSite();
    expect(verifyChain(full.db.raw, full.services.sealer)).toEqual({ count: 5, faults: [] });
  });

  const CHANGES: Record<keyof WaiverRow, string> = {
    id: '77',
    how: "'file'",
    textId: '(SELECT max(id) FROM texts)',
    textSha256: "'0'",
    signUpId: '99',
    memberId: '99',
    email: "'eve@walkers.example'",
    addressMark: "'0'",
    forName: "'Eve'",
    forKey: "'eve'",
    signedAs: "'self'",
    signerName: "'Eve'",
    signerKey: "'eve'",
    signature: "'Eve'",
    intent: "'I do not sign.'",
    consent: "''",
    proof: "'signed in'",
    seenBy: "'Eve'",
    signedAt: '1',
    keptAt: '1',
    format: '2',
    documentSha256: "'0'",
    previous: "'0'",
    hash: "'0'",
  };

  it.each(Object.entries(CHANGES))('shows a change of %s', async (key, value) => {
    const site = await signedSite();
    site.db.raw.pragma('ignore_check_constraints = ON');
    const column = waivers[key as keyof WaiverRow].name;
    tamper(site, `UPDATE waivers SET ${column} = ${value} WHERE id = 2`);
    const faults = faultsOf(site);
    expect(faults.length).toBeGreaterThan(0);
    expect(faults.map((fault) => fault.waiverId)).toContain(key === 'id' ? 77 : 2);
  });

  it.each([
    ['the first', 'id = 1', [2, null]],
    ['one in the middle', 'id = 3', [4, null]],
    ['the last', 'id = 5', [null, null, null]],
    ['all of them', 'true', [null, null, null]],
  ])('shows that %s was deleted', async (_, where, found) => {
    const site = await signedSite();
    tamper(site, `DELETE FROM waivers WHERE ${where}`);
    expect(faultsOf(site).map((fault) => fault.waiverId)).toEqual(found);
  });

  it('shows that the last was deleted though the end was put back to what it was before', async () => {
    const site = await signedSite();
    const { hash, mark, waivers: count } = site.db.raw.prepare('SELECT * FROM waiver_head').get() as Record<string, string>;
    signed(site, 'Dot Elm');
    tamper(site, `DELETE FROM waivers WHERE id = 6; UPDATE waiver_head SET waivers = ${count}, hash = '${hash}', mark = '${mark}'`);
    expect(faultsOf(site).map((fault) => fault.sentence)).toEqual(['The last number given was 6, the last signature here is number 5.']);
  });

  const NO_END = { waiverId: null, sentence: 'Where the chain ends is not written down any more.' };

  it('shows that all were deleted, the end and the last number with them, whoever signs afterwards', async () => {
    const site = await signedSite();
    tamper(site, "DELETE FROM waivers; DELETE FROM waiver_head; DELETE FROM sqlite_sequence WHERE name = 'waivers'");
    expect(faultsOf(site)).toEqual([NO_END]);
    signed(site, 'Dot Elm');
    signed(site, 'Eli Fir');
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 2, faults: [NO_END] });
  });

  it('does not make genuine what someone without the key wrote at the end, whoever signs afterwards', async () => {
    const site = await signedSite();
    const { hash } = rowOf(site, 4);
    tamper(
      site,
      `DELETE FROM waivers WHERE id = 5; UPDATE waiver_head SET waivers = 4, hash = '${hash}'; UPDATE sqlite_sequence SET seq = 4 WHERE name = 'waivers'`,
    );
    signed(site, 'Dot Elm');
    expect(rowOf(site, 5).previous).toBe(hash);
    expect(faultsOf(site).map(({ sentence }) => sentence)).toContain('The end of the chain was not written with this key.');
  });

  it('shows that two were swapped', async () => {
    const site = await signedSite();
    tamper(
      site,
      'UPDATE waivers SET id = -3 WHERE id = 3; UPDATE waivers SET id = 3 WHERE id = 4; UPDATE waivers SET id = 4 WHERE id = -3',
    );
    expect(faultsOf(site).map((fault) => fault.waiverId)).toEqual([3, 4, 5]);
  });

  it('shows a signature that was made up, hashes and all, by its address and by the end', async () => {
    const site = await signedSite();
    const before = rowOf(site, 5);
    const made = { ...before, forName: 'Eve', email: 'eve@walkers.example', previous: before.hash };
    const { id: _, hash: __, ...row } = made;
    site.db.q
      .insert(waivers)
      .values({ ...row, hash: linkHash(made) })
      .run();
    expect(faultsOf(site)).toEqual([
      { waiverId: 6, sentence: 'Its document does not render as it was signed.' },
      { waiverId: 6, sentence: 'Its address is not the one it was signed with.' },
      { waiverId: null, sentence: 'The chain should hold 5 signatures; 6 are here.' },
      { waiverId: null, sentence: 'The last signature is not the one the chain ended with.' },
    ]);
  });

  it('shows an end that was written without the key', async () => {
    const site = await signedSite();
    site.db.raw.exec("UPDATE waiver_head SET mark = 'made up'");
    expect(faultsOf(site)).toEqual([{ waiverId: null, sentence: 'The end of the chain was not written with this key.' }]);
    site.db.write((tx) => keepHead(tx, site.services.sealer, 5, rowOf(site, 5).hash));
    expect(faultsOf(site)).toEqual([]);
    expect(headMark(site.services.sealer, 5, 'a')).not.toBe(headMark(site.services.sealer, 5, 'b'));
  });

  it('shows a text whose words were changed, with its hash or without', async () => {
    const site = await signedSite();
    site.db.raw.exec("UPDATE texts SET body = 'Other words.' WHERE kind = 'waiver' AND version = 2");
    expect(faultsOf(site).map((fault) => fault.waiverId)).toEqual([null, 4, 5]);
    site.db.raw.prepare("UPDATE texts SET sha256 = ? WHERE kind = 'waiver' AND version = 2").run(sha256('Other words.'));
    expect(faultsOf(site)).toEqual(
      [4, 5].map((waiverId) => ({ waiverId, sentence: 'Version 2 of the waiver is not the one that was signed.' })),
    );
  });

  it('shows a row that stands outside it', async () => {
    const site = await signedSite();
    const { id: _, ...row } = rowOf(site, 5);
    site.db.q
      .insert(waivers)
      .values({ ...row, hash: '' })
      .run();
    expect(faultsOf(site)[0]).toEqual({ waiverId: 6, sentence: 'It stands outside the chain: it has no hash.' });
  });

  it('keeps what is undone out: a transaction that fails leaves no gap', async () => {
    const site = await signedSite();
    expect(() =>
      site.db.write(() => {
        signed(site, 'Dot Elm');
        throw new Error('the disk is full');
      }),
    ).toThrow('the disk is full');
    expect(faultsOf(site)).toEqual([]);
    signed(site, 'Dot Elm');
    expect(faultsOf(site)).toEqual([]);
  });
});

describe('a signature', () => {
  it('is neither changed nor deleted', async () => {
    const site = await signedSite();
    const run = (sql: string) => () => site.db.raw.exec(sql);
    expect(run('DELETE FROM waivers WHERE id = 1')).toThrow('a signature is never deleted');
    for (const set of [
      "signature = 'Eve'",
      'signed_at = 1',
      "hash = ''",
      "email = 'eve@walkers.example'",
      "email = '', for_name = 'Eve'",
      'id = 9',
    ])
      expect(run(`UPDATE waivers SET ${set} WHERE id = 1`)).toThrow('a signature is never changed');
    expect(faultsOf(site)).toEqual([]);
  });

  it('is not replaced by way of an insert, and where it was all the same it is found', async () => {
    const site = await signedSite();
    site.db.raw.pragma('foreign_keys = OFF');
    site.db.raw.exec(`CREATE TEMP TABLE other AS SELECT * FROM waivers WHERE id = 2; UPDATE other SET signed_at = 1`);
    const replace = 'INSERT OR REPLACE INTO waivers SELECT * FROM other';
    expect(() => site.db.raw.exec(replace)).toThrow('a signature is never changed');
    tamper(site, replace);
    expect(faultsOf(site).map((fault) => fault.waiverId)).toEqual([2, 2]);
  });

  it('can lose its address, where that was erased', async () => {
    const site = await signedSite();
    const { email, addressMark } = rowOf(site, 3);
    site.db.raw.prepare("UPDATE waivers SET email = '' WHERE email = ?").run(email);
    expect(faultsOf(site)).toEqual([{ waiverId: 3, sentence: 'Its address is gone, and nobody erased it.' }]);
    site.db.q.insert(erased).values({ mark: addressMark, at: 1, proof: 'made up' }).run();
    expect(faultsOf(site)).toEqual([{ waiverId: 3, sentence: 'Its address is gone, and nobody erased it.' }]);
    site.db.write((tx) => tx.delete(erased).run());
    // One from before it was signed covers nothing.
    const { keptAt } = rowOf(site, 3);
    site.db.write((tx) => markErased(tx, site.services.sealer, addressMark, keptAt - 1));
    expect(faultsOf(site)).toEqual([{ waiverId: 3, sentence: 'Its address is gone, and nobody erased it.' }]);
    site.db.write((tx) => markErased(tx, site.services.sealer, addressMark, keptAt));
    expect(faultsOf(site)).toEqual([]);
  });

  it.each([
    ['none', "given with it, not shown at that time to be in the signer's hands"],
    ['link', 'given with it, and a link mailed to it had led to this page'],
    ['signed in', 'given with it, and this page was signed in with it'],
  ] as const)('says of the address and the page, not of the signer, what was shown: %s', async (proof, words) => {
    const { site, walkId } = await opened();
    const { signUpId, members } = site.db.write((tx) => partyFor(tx, walkId, [{ name: 'Ana Ferreira' }]));
    const id = signed(site, 'Ana Ferreira', { how: 'page', seenBy: '', proof, signUpId, memberId: members[0] ?? 0 });
    expect(documentOfWaiver(site.db.q, id)).toContain(`\nAddress: ${words}\nSigning sentence: `);
    const file = signed(site, 'Bea Birch');
    expect(documentOfWaiver(site.db.q, file)).not.toContain('Address');
  });

  it('renders as it was signed, to the last byte, under three versions of the text', async () => {
    const { site } = await opened();
    const bodies = ['', 'Zweite Fassung: Übermut — ein „Wort“.\n\n# Überschrift\n', 'Third,\r\nwith  blanks  \u00a0 and 👣.'];
    const ids = bodies.map((body, index) => {
      if (index > 0) site.db.write((tx) => newText(tx, body));
      return signed(site, 'Bea Birch');
    });
    for (const [index, id] of ids.entries()) {
      const document = documentOfWaiver(site.db.q, id) ?? '';
      expect(sha256(document)).toBe(rowOf(site, id).documentSha256);
      expect(document).toContain(`Text: version ${index + 1}, SHA-256 `);
      expect(document.endsWith(`\n\n${bodies[index] || ''}${index === 0 ? '' : '\n'}`) || index === 0).toBe(true);
    }
    expect(documentOfWaiver(site.db.q, 99)).toBeNull();
    expect(faultsOf(site)).toEqual([]);
  });
});
