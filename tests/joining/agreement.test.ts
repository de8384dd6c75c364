import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { notices, waivers, waiverTraces } from '../../server/db/schema/index.js';
import { monthsLater } from '../../server/joining/renewal.js';
import { AGREEMENT_CONSENT, AGREEMENT_INTENT } from '../../server/joining/words.js';
import { mailMaker } from '../../server/notices/mail.js';
import { publish, textHash, textInForce } from '../../server/texts/store.js';
import { type Documented, waiverDocument } from '../../server/waivers/document.js';
import { countInForce } from '../../server/waivers/list-store.js';
import { documentOfWaiver, verifyChain } from '../../server/waivers/verify.js';
import { NOON } from '../support/app.js';
import { formFields } from '../support/fields.js';
import { signed } from '../waivers/stage.js';
import { DAY, type Joining, openJoining, signedAt } from './stage.js';

let stage: Joining;
beforeEach(async () => {
  stage = await openJoining();
});

it('is read whole, its headings in order', async () => {
  const { text } = await stage.cast.browser('leader').get('/lead/join/agreement');
  const levels = [...text.matchAll(/<h([1-6])/g)].map((one) => Number(one[1]));
  expect(levels.length).toBeGreaterThan(2);
  for (const [index, level] of levels.entries()) expect(level).toBeLessThanOrEqual((levels[index - 1] ?? 0) + 1);
  expect(text).toContain('class="text whole"');
});

function rows() {
  return stage.site.db.q.select().from(waivers).all();
}

function newWords(body: string): void {
  const { site, cast } = stage;
  site.db.write((tx) => {
    const { version } = textInForce(tx, 'agreement');
    publish(tx, 'agreement', { version: version + 1, body }, { personId: cast.ids.coordinator, now: site.clock.now });
  });
}

describe("signing the leader's agreement", () => {
  it('keeps name, version, wording, sentence, consent, instant and proof as a link of the chain, and mails a copy', async () => {
    const { site } = stage;
    signed(site, 'Bea Birch');
    expect(await stage.sign('leader', 'lena marsh')).toBe(303);
    const text = textInForce(site.db.q, 'agreement');
    expect(rows()[1]).toMatchObject({
      ...{ how: 'page', textId: text.id, textSha256: textHash(text.body), signUpId: null, memberId: null, email: 'leader@waymeet.example' },
      ...{ forName: 'Lena Marsh', signedAs: 'leader', signerName: 'Lena Marsh', signature: 'lena marsh', intent: AGREEMENT_INTENT },
      ...{ consent: AGREEMENT_CONSENT, proof: 'signed in', seenBy: '', signedAt: NOON, keptAt: NOON, format: 2, previous: rows()[0]?.hash },
    });
    signed(site, 'Cai Dale');
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 3, faults: [] });
    expect(documentOfWaiver(site.db.q, 2)).toBe(
      [
        "LEADER'S AGREEMENT",
        'Signed by: Lena Marsh, who leads walks or has applied to',
        'Signature: typed, "lena marsh"',
        'Signed at: 2026-11-25T12:00:00.000Z',
        'Address: given with it, and this page was signed in with it',
        `Signing sentence: ${AGREEMENT_INTENT}`,
        `Consent: ${AGREEMENT_CONSENT}`,
        `Text: version 1, SHA-256 ${text.sha256}`,
        '',
        text.body,
        '',
      ].join('\n'),
    );
    expect(site.db.q.select().from(waiverTraces).all()).toHaveLength(1);
    expect(stage.owed()).toEqual(["agreement-copy leader@waymeet.example: What you signed: the leader's agreement"]);
  });

  it('mails the very document that was signed', async () => {
    const { site } = stage;
    await stage.sign('leader', 'Lena Marsh');
    const notice = site.db.q.select().from(notices).where(eq(notices.kind, 'agreement-copy')).get();
    if (!notice) throw new Error('no copy');
    const mail = mailMaker(site.services, site.views).make(notice);
    expect(mail.text).toContain(documentOfWaiver(site.db.q, 1));
    expect(mail.subject).toBe("What you signed: the leader's agreement");
    expect(mail.html).toContain('LEADER&#x27;S AGREEMENT');
  });

  it('is due again twelve months later, or after the months that the group has set', async () => {
    await stage.sign('leader', 'Lena Marsh');
    expect(stage.dueAt('leader')).toBe(monthsLater(NOON, 12));
    const other = await openJoining();
    other.site.db.raw.exec("INSERT INTO settings VALUES ('agreementMonths', '6')");
    other.site.clock.now += DAY;
    await other.sign('leader', 'Lena Marsh');
    expect(other.dueAt('leader')).toBe(monthsLater(NOON + DAY, 6));
  });

  it('counts from its own end when it is renewed within 60 days of it, and a second time in a row changes nothing', async () => {
    const { site } = stage;
    await stage.sign('leader', 'Lena Marsh');
    const end = monthsLater(NOON, 12);
    site.clock.now = end - 60 * DAY - 1;
    expect(await stage.sign('leader', 'Lena Marsh')).toBe(303);
    expect(rows()).toHaveLength(1);
    site.clock.now = end - 60 * DAY;
    await stage.sign('leader', 'Lena Marsh');
    await stage.sign('leader', 'Lena Marsh');
    expect(rows()).toHaveLength(2);
    expect(stage.dueAt('leader')).toBe(monthsLater(end, 12));
  });

  it.each([
    ['another name', { signature: 'Otto Blume' }, 'signature'],
    ['no name', { signature: '' }, 'signature'],
    ['no tick', { agree: '' }, 'agree'],
  ])('is refused with %s', async (_, changed, field) => {
    const { text, status } = await stage.cast
      .browser('leader')
      .post('/lead/join/agreement', { signature: 'Lena Marsh', agree: 'yes', version: '1', ...changed });
    expect(status).toBe(422);
    expect(text).toContain(`id="${field}-error"`);
    expect(rows()).toEqual([]);
  });

  it('shows a text that was published meanwhile before it is signed, with nothing signed for it beforehand', async () => {
    newWords('New words.');
    const { text, status } = await stage.cast
      .browser('leader')
      .post('/lead/join/agreement', { signature: 'Lena Marsh', agree: 'yes', version: '1' });
    expect(status).toBe(422);
    expect(text).toContain('The agreement was changed while this page was open');
    expect(text).toContain('New words.');
    expect(formFields(text)).toMatchObject({ version: '2', signature: '' });
    expect(formFields(text).agree).toBeUndefined();
    expect(rows()).toEqual([]);
    expect(await stage.sign('leader', 'Lena Marsh', { version: '2' })).toBe(303);
    expect(rows()[0]?.textSha256).toBe(textHash('New words.'));
  });

  it('is for those who lead or have applied, in the name they applied with', async () => {
    const walker = stage.cast.browser('walker');
    expect((await walker.get('/lead/join/agreement')).headers.location).toBe('/lead/join');
    await stage.sign('walker', 'Wendel Ames');
    expect(rows()).toEqual([]);
    await stage.apply({ name: 'Wendel Jonah Ames' });
    expect(await stage.sign('walker', 'Wendel Ames')).toBe(422);
    expect(await stage.sign('walker', 'Wendel Jonah Ames')).toBe(303);
    expect(signedAt(stage.site, 'walker@waymeet.example')).toBe(NOON);
    expect((await walker.get('/lead/join')).text).toMatch(
      /<span class="state kept">done<\/span> <span><b><a href="\/lead\/join\/agreement">/,
    );
  });

  it('is no waiver: nothing counts it as one; and its signer reads it on their page', async () => {
    const { site, cast } = stage;
    await stage.sign('leader', 'Lena Marsh');
    expect(countInForce(site.db.q, { now: NOON, settings: site.services.settings() })).toEqual({ page: 0, paper: 0, file: 0 });
    const leader = cast.browser('leader');
    expect((await leader.get('/me')).text).toContain("leader's agreement");
    expect((await leader.get('/me/waivers/1')).text).toContain('<h1>The leader&#x27;s agreement</h1>');
    expect((await leader.get('/me.json')).body).toMatchObject({
      waivers: [{ signedAs: 'leader', signature: 'Lena Marsh', withSignUp: null }],
    });
  });
});

describe('what was signed', () => {
  it('is found wrong where its text, its row or its kind was changed', async () => {
    const { site } = stage;
    await stage.sign('leader', 'Lena Marsh');
    const faults = () => verifyChain(site.db.raw, site.services.sealer).faults.map((fault) => fault.sentence);
    site.db.raw.exec("UPDATE texts SET body = body || '!' WHERE kind = 'agreement'");
    expect(faults()).toContain("The words of version 1 of the leader's agreement were changed after it was laid down.");
    expect(() => site.db.raw.exec("UPDATE waivers SET signature = 'Eve'")).toThrow('never changed');
    expect(() => site.db.raw.exec('DELETE FROM waivers')).toThrow('never deleted');
    site.db.raw.exec('DROP TRIGGER waivers_fixed');
    site.db.raw.exec("UPDATE waivers SET text_id = (SELECT id FROM texts WHERE kind = 'waiver')");
    expect(faults()).toContain('It stands under the waiver, which is not what was signed.');
  });

  it('renders in its own format only, and a waiver in its own', () => {
    const document: Omit<Documented, 'signedAs'> = {
      ...{ how: 'page', text: { version: 1, sha256: 'x', body: 'Words' }, forName: 'Ana', signerName: 'Ana', signature: 'Ana' },
      ...{ intent: 'I sign.', consent: '', proof: 'none', seenBy: '', signedAt: NOON, signUpId: null },
    };
    expect(() => waiverDocument({ ...document, signedAs: 'leader' }, 1)).toThrow('format 1');
    expect(() => waiverDocument({ ...document, signedAs: 'self' }, 2)).toThrow('format 2');
    expect(() => waiverDocument({ ...document, signedAs: 'leader' }, 3)).toThrow('format 3');
  });

  it('without a sign-up is a leader’s own, typed while signed in, and nothing else', () => {
    const insert = (signedAs: string, how: string, proof: string) => () =>
      stage.site.db.raw.exec(
        `INSERT INTO waivers (how, text_id, text_sha256, email, address_mark, for_name, for_key, signed_as, signer_name, signer_key, signature, intent,
           consent, proof, seen_by, signed_at, kept_at, format, document_sha256, previous, hash)
         VALUES ('${how}', 1, '', 'a', '', '', '', '${signedAs}', '', '', '', '', '', '${proof}', '${how === 'page' ? '' : 'x'}', 1, 1, 2, '', '', '')`,
      );
    for (const [as, how, proof] of [
      ['self', 'page', 'signed in'],
      ['leader', 'paper', 'signed in'],
      ['leader', 'page', 'link'],
    ] as const)
      expect(insert(as, how, proof)).toThrow(/CHECK/);
    expect(insert('leader', 'page', 'signed in')).not.toThrow();
  });
});
