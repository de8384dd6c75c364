import { and, desc, eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { auditLog, people, texts } from '../../server/db/schema/index.js';
import { MOST_CHARACTERS, refusal } from '../../server/texts/form.js';
import type { TextKind } from '../../server/texts/kinds.js';
import { textHash, textInForce } from '../../server/texts/store.js';
import { openSite, type TestSite } from '../support/app.js';
import { browserOf, layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';

const DAY_MS = 24 * 60 * 60 * 1000;

async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  const second = site.db.write((tx) =>
    tx
      .insert(people)
      .values({ name: 'Nils Varga', email: 'nils@waymeet.example', coordinator: true, createdAt: site.clock.now })
      .returning({ id: people.id })
      .get(),
  );
  return { site, cast, cora: cast.browser('coordinator'), nils: browserOf(site, second.id), anyone: cast.browser('nobody') };
}

function versions(site: TestSite, kind: TextKind) {
  return site.db.q.select().from(texts).where(eq(texts.kind, kind)).orderBy(desc(texts.version)).all();
}

describe('publishing a text', () => {
  it('adds the next version with its hash, who published it and a line in the log, and leaves the one before as it was', async () => {
    const { site, cast, cora, anyone } = await opened();
    const first = textInForce(site.db.q, 'cautions');
    site.clock.now += DAY_MS;
    const answer = await cora.post('/coordinate/texts/cautions', {
      intent: 'publish',
      base: '1',
      body: '\r\n  # Heat\r\n\r\nRest in the *shade*.\r\n \r\n',
    });
    expect([answer.status, answer.headers.location]).toEqual([303, '/coordinate/texts?saved=cautions']);
    const body = '# Heat\n\nRest in the *shade*.';
    const [newest, before] = versions(site, 'cautions');
    expect(newest).toMatchObject({ version: 2, body, sha256: textHash(body), createdAt: site.clock.now, byPersonId: cast.ids.coordinator });
    expect(before).toMatchObject({ version: 1, body: first.body, sha256: first.sha256, byPersonId: null });
    const log = site.db.q.select().from(auditLog).where(eq(auditLog.subject, 'text:cautions')).all();
    expect(log).toMatchObject([{ at: site.clock.now, personId: cast.ids.coordinator, action: 'published a text', detail: { version: 2 } }]);
    expect((await anyone.get('/cautions')).text).toContain('<h3>Heat</h3>\n<p>Rest in the <em>shade</em>.</p>');
    const list = await cora.get('/coordinate/texts?saved=cautions');
    expect(list.text).toContain('Version 2 of the cautions is in force.');
    expect(list.text).toMatch(/Version 2<\/b>, in force since <time[^>]*>Thu, Nov 26, 2026, 7:00.AM EST<\/time>, by Cora Danner/);
    expect(list.text).toMatch(/One earlier version<\/summary>.*href="\/coordinate\/texts\/cautions\/1"/);
  });

  it('is previewed first: the text as it will read, the difference, what it does; nothing is written', async () => {
    const { site, cora } = await opened();
    const old = textInForce(site.db.q, 'rules').body;
    const body = old.replace('even a little', 'even slightly');
    const { status, text } = await cora.post('/coordinate/texts/rules', { intent: 'preview', base: '1', body });
    expect(status).toBe(200);
    expect(text).toContain('<strong>Stay home when you are ill</strong>, even slightly.');
    expect(text).toMatch(/<del>.*a little.*<\/del><ins>.*slightly.*<\/ins>/);
    expect(text).toContain('1 line changed, none added, none taken out.');
    expect(text).toMatch(/\d+ lines unchanged/);
    expect(text).toMatch(
      /What publishing version 2 does[\s\S]*What is different from version 1[\s\S]*<details>\s*<summary>As people will read it/,
    );
    expect(text).toContain('everyone who signs up agrees to this version');
    expect(formFields(text)).toMatchObject({ body, base: '1' });
    expect(versions(site, 'rules')).toHaveLength(1);
    const back = await cora.post('/coordinate/texts/rules', { ...formFields(text), intent: 'change' });
    expect(back.status).toBe(200);
    expect(formFields(back.text)).toMatchObject({ body, base: '1' });
  });

  it('opens the form with the version in force', async () => {
    const { site, cora } = await opened();
    const { status, text } = await cora.get('/coordinate/texts/briefing');
    expect(status).toBe(200);
    expect(formFields(text)).toMatchObject({ body: textInForce(site.db.q, 'briefing').body, base: '1' });
  });

  it('shows HTML in a text as it was typed, wherever it is shown', async () => {
    const { site, cora, anyone } = await opened();
    const body = 'Keep <script>alert(1)</script> <b onclick="x">left</b> & [go](javascript:alert(1))';
    const preview = await cora.post('/coordinate/texts/rules', { intent: 'preview', base: '1', body });
    const form = await cora.post('/coordinate/texts/rules', { intent: 'change', base: '1', body });
    expect(formFields(form.text).body).toBe(body);
    await cora.post('/coordinate/texts/rules', { intent: 'publish', base: '1', body });
    const pages = [preview, form, await cora.get('/coordinate/texts/rules/2'), await anyone.get('/rules')];
    for (const { text } of pages) {
      expect(text).not.toMatch(/<script>alert|<b onclick|href="javascript/);
      expect(text).toContain('&lt;script&gt;');
    }
    expect(textInForce(site.db.q, 'rules').body).toBe(body);
  });
});

describe('a text that is refused', () => {
  it.each([
    ['empty', ' \r\n ', 'Type the text.'],
    ['without a word', '# \n---', 'Type the text.'],
    ['too long', 'a'.repeat(MOST_CHARACTERS + 1), 'Keep it to 40,000 characters: it has 40,001.'],
    ['far too long', '字'.repeat(60_000), 'Keep it to 40,000 characters: it has 60,000.'],
  ])('%s: answers 422 and keeps what was typed, previewed or published', async (_, body, sentence) => {
    const { site, cora } = await opened();
    for (const intent of ['preview', 'publish']) {
      const { status, text } = await cora.post('/coordinate/texts/waiver', { intent, base: '1', body });
      expect(status).toBe(422);
      expect(text).toMatch(/<title>Error: /);
      expect(text).toContain(`<li><a href="#body">${sentence}</a></li>`);
      expect(formFields(text)).toMatchObject({ body: body.trim(), base: '1' });
    }
    expect(versions(site, 'waiver')).toHaveLength(1);
  });

  it('takes a text of just 40,000 characters of any alphabet', async () => {
    const { cora } = await opened();
    const answer = await cora.post('/coordinate/texts/waiver', { intent: 'publish', base: '1', body: '字'.repeat(MOST_CHARACTERS) });
    expect(answer.status).toBe(303);
  });

  it('is not published where nothing has changed, whatever line ends the browser sends', async () => {
    const { site, cora } = await opened();
    const body = `${textInForce(site.db.q, 'rules').body.replaceAll('\n', '\r\n')}\r\n`;
    const { status, text } = await cora.post('/coordinate/texts/rules', { intent: 'publish', base: '1', body });
    expect(status).toBe(422);
    expect(text).toContain('Nothing has changed: this is version 1, word for word.');
    expect(versions(site, 'rules')).toHaveLength(1);
  });

  it('published by another coordinator meanwhile: shows the difference, keeps what was typed, and lets them publish on', async () => {
    const { site, cora, nils } = await opened();
    await nils.post('/coordinate/texts/briefing', { intent: 'publish', base: '1', body: 'Count the group twice.' });
    for (const intent of ['preview', 'publish']) {
      const { status, text } = await cora.post('/coordinate/texts/briefing', { intent, base: '1', body: 'Count the group thrice.' });
      expect(status).toBe(422);
      expect(text).toContain('Version 2 was published by Nils Varga while you were writing.');
      expect(text).toMatch(/<del>.*twice.*<\/del><ins>.*thrice.*<\/ins>/);
      expect(formFields(text)).toMatchObject({ body: 'Count the group thrice.', base: '2' });
    }
    expect(versions(site, 'briefing')).toHaveLength(2);
    const on = await cora.post('/coordinate/texts/briefing', { intent: 'publish', base: '2', body: 'Count the group thrice.' });
    expect(on.status).toBe(303);
    expect(versions(site, 'briefing').map((one) => one.version)).toEqual([3, 2, 1]);
  });

  it('keeps the version it was opened at on the way back from the preview, so that a version published meanwhile still shows', async () => {
    const { cora, nils } = await opened();
    await nils.post('/coordinate/texts/briefing', { intent: 'publish', base: '1', body: 'Count the group twice.' });
    const back = await cora.post('/coordinate/texts/briefing', { intent: 'change', base: '1', body: 'Mine.' });
    expect(formFields(back.text)).toMatchObject({ base: '1' });
  });

  it('published twice at once is published once', async () => {
    const { site, cora, nils } = await opened();
    const answers = await Promise.all([
      cora.post('/coordinate/texts/rules', { intent: 'publish', base: '1', body: 'Walk slowly.' }),
      nils.post('/coordinate/texts/rules', { intent: 'publish', base: '1', body: 'Walk quickly.' }),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 422]);
    expect(versions(site, 'rules')).toHaveLength(2);
  });

  it('opened at no version, or one that is not there yet, is looked at again', () => {
    const inForce = { version: 2, body: 'Old' };
    expect(refusal({ body: 'New', base: Number.NaN }, inForce)).toBe('published meanwhile');
    expect(refusal({ body: 'New', base: 3 }, inForce)).toBe('published meanwhile');
    expect(refusal({ body: 'New', base: 2 }, inForce)).toBe(null);
    expect(refusal({ body: 'Old', base: 1 }, inForce)).toBe('nothing changed');
    expect(refusal({ body: 'a'.repeat(MOST_CHARACTERS), base: 2 }, inForce)).toBe(null);
  });
});

describe('a new waiver', () => {
  /** A sign-up for a walk, and perhaps a signature; rows as the tables have them. */
  function signUp(site: TestSite, walkId: number, email: string, state = 'confirmed'): number {
    const rules = textInForce(site.db.q, 'rules').id;
    return Number(
      site.db.raw
        .prepare(
          `INSERT INTO sign_ups (walk_id, token_hash, post_mark, state, name, email, phone, phone_typed, party_size, rules_text_id, rules_agreed_at, created_at)
           VALUES (?, ?, ?, ?, 'Ana', ?, '+12025550101', '', 1, ?, 1, 1)`,
        )
        .run(walkId, `${email} ${walkId} ${state}`, email, state, email, rules).lastInsertRowid,
    );
  }

  function sign(site: TestSite, signUpId: number, email: string): void {
    const member = site.db.raw.prepare("INSERT INTO party_members (sign_up_id, name) VALUES (?, 'Ana')").run(signUpId).lastInsertRowid;
    const { id, sha256 } = textInForce(site.db.q, 'waiver');
    site.db.raw
      .prepare(
        `INSERT INTO waivers (how, text_id, text_sha256, sign_up_id, member_id, email, address_mark, for_name, for_key, signed_as, signer_name, signer_key, signature, intent, consent, proof,
          seen_by, signed_at, kept_at, format, document_sha256, previous, hash)
         VALUES ('page', ?, ?, ?, ?, ?, '', 'Ana', 'ana', 'self', 'Ana', 'ana', 'Ana', '', '', 'none', '', 1, 1, 1, '', '', '')`,
      )
      .run(id, sha256, signUpId, member, email);
  }

  it('says before it is published how many have signed the one in force for a walk to come', async () => {
    const { site, cast, cora } = await opened();
    const preview = async () =>
      (await cora.post('/coordinate/texts/waiver', { intent: 'preview', base: '1', body: 'I walk at my own risk.' })).text;
    expect(await preview()).toContain('No sign-up for a walk to come has a signature of version 1 yet.');
    const first = signUp(site, cast.walkId, 'ana@walkers.example');
    sign(site, first, 'ana@walkers.example');
    signUp(site, cast.walkId, 'bea@walkers.example', 'waiting');
    sign(site, signUp(site, cast.walkId, 'cid@walkers.example', 'withdrawn'), 'cid@walkers.example');
    expect(await preview()).toContain('1 of 2 sign-ups for walks to come has a signature of version 1.');
    // Signed for an earlier walk by the same address; and two signatures are still one sign-up.
    sign(site, signUp(site, cast.draftId, 'bea@walkers.example'), 'bea@walkers.example');
    sign(site, first, 'ana@walkers.example');
    const text = await preview();
    expect(text).toContain('2 of 2 sign-ups for walks to come have a signature of version 1.');
    expect(text).toContain('Everyone signs anew from now on');
    expect(text).toContain('Nobody is mailed about it; the reminder on the day before a walk names who has yet to sign.');
    await cora.post('/coordinate/texts/waiver', { intent: 'publish', base: '1', body: 'I walk at my own risk.' });
    expect((await cora.post('/coordinate/texts/waiver', { intent: 'preview', base: '2', body: 'Again.' })).text).toContain(
      'No sign-up for a walk to come has a signature of version 2 yet.',
    );
  });
});

describe('an earlier version', () => {
  it('reads as it did, with its hash, its dates and what it changed', async () => {
    const { site, cora } = await opened();
    await cora.post('/coordinate/texts/agreement', { intent: 'publish', base: '1', body: 'I lead one walk a month.' });
    site.clock.now += DAY_MS;
    await cora.post('/coordinate/texts/agreement', { intent: 'publish', base: '2', body: 'I lead two walks a month.' });
    const { status, text } = await cora.get('/coordinate/texts/agreement/2');
    expect(status).toBe(200);
    expect(text).toContain(textHash('I lead one walk a month.'));
    expect(text).toMatch(
      /from <time[^>]*>Wed, Nov 25, 2026, 7:00.AM EST<\/time> to <time[^>]*>Thu, Nov 26, 2026, 7:00.AM EST<\/time>, published by Cora Danner/,
    );
    expect(text).toContain('<p>I lead one walk a month.</p>');
    expect(text).toContain('What is different from version 1');
    expect((await cora.get('/coordinate/texts/agreement/1')).text).not.toContain('What is different');
    const row = site.db.q
      .select()
      .from(texts)
      .where(and(eq(texts.kind, 'agreement'), eq(texts.version, 3)))
      .get();
    expect(row?.sha256).toBe(textHash('I lead two walks a month.'));
  });

  it.each([
    '/coordinate/texts/poem',
    '/coordinate/texts/rules/2',
    '/coordinate/texts/rules/0',
    '/coordinate/texts/rules/01',
    '/coordinate/texts/rules/x',
  ])('%s is not there', async (path) => {
    const { cora } = await opened();
    expect((await cora.get(path)).status).toBe(404);
  });

  it('can not be posted under a name there is none of', async () => {
    const { cora } = await opened();
    expect((await cora.post('/coordinate/texts/constructor', { intent: 'publish', base: '1', body: 'x' })).status).toBe(404);
  });
});
