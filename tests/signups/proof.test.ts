import { asc, eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { notices, people, signUps, texts, waivers, waiverTraces } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { oweReminders } from '../../server/notices/owe.js';
import { textHash } from '../../server/texts/store.js';
import { oweContext } from '../../server/walks/save.js';
import type { TestSite } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { signUpFields } from '../support/sign-up.js';
import { opened, party } from './opened.js';

function publishWaiver(site: TestSite, body: string): void {
  const text = { kind: 'waiver', version: 2, body, sha256: textHash(body), createdAt: site.clock.now } as const;
  site.db.write((tx) => tx.insert(texts).values(text).run());
}

async function booked() {
  const stage = await opened();
  const own = (await stage.nobody.post(stage.at, signUpFields())).headers.location ?? '';
  const { site } = stage;
  const [mail] = site.db.q.select().from(notices).where(eq(notices.kind, 'confirmation')).all();
  const { text } = mailMaker(site.services, site.views).make(mail as NonNullable<typeof mail>);
  const mailed = /\/sign-ups\/[\w-]{43}\?mail=[\w-]+/.exec(text)?.[0] ?? '';
  const proofs = () =>
    site.db.q
      .select({ proof: waivers.proof })
      .from(waivers)
      .orderBy(asc(waivers.id))
      .all()
      .map((row) => row.proof);
  const provedAt = () => site.db.q.select({ at: signUps.provedAt }).from(signUps).get()?.at ?? null;
  return { ...stage, own, mailed, proofs, provedAt, text };
}

it('a mailed link proves the address when it is acted on, not when a mail scanner opens it', async () => {
  const { site, nobody, own, mailed, provedAt } = await booked();
  expect(mailed.startsWith(own)).toBe(true);
  expect((await nobody.get(own)).text).not.toContain('Yes, that was me');
  const page = await nobody.get(mailed);
  await nobody.head(mailed);
  expect(page.text).toContain('Yes, that was me');
  expect(provedAt()).toBeNull();
  const proof = /name="mail" value="([^"]+)"/.exec(page.text)?.[1] ?? '';
  await nobody.post(`${own}/proof`, { mail: 'guessed' });
  expect(provedAt()).toBeNull();
  await nobody.post(`${own}/proof`, { mail: proof });
  const first = site.clock.now;
  expect(provedAt()).toBe(first);
  site.clock.now += 1000;
  await nobody.post(`${own}/proof`, { mail: proof });
  expect(provedAt()).toBe(first);
  expect((await nobody.get(mailed)).text).not.toContain('Yes, that was me');
});

it('what is signed on a page that was opened from the mail says so; a signer who is signed in with the address says that', async () => {
  const { site, cast, nobody, own, mailed, proofs, at } = await booked();
  const form = formFields((await nobody.get(mailed)).text) as Record<string, string>;
  const two = { ...party('', 'Ana Ferreira', 'Bea Birch'), ...form, agreeWaiver: 'yes', 'members[1][signature]': 'Bea Birch' };
  expect((await nobody.post(own, two)).status).toBe(303);
  expect(proofs()).toEqual(['none', 'link']);
  const walker = cast.browser('walker');
  await walker.post(at, signUpFields({ email: 'walker@waymeet.example' }));
  expect(proofs()).toEqual(['none', 'link', 'signed in']);
  expect(site.db.q.select().from(people).where(eq(people.email, 'ana@walkers.example')).all()).toEqual([]);
});

it('keeps where each signature was typed beside it, shortened, and mails the copy with its mark', async () => {
  const { site, text, nobody, at } = await booked();
  const [row] = site.db.q.select().from(waivers).all();
  expect(text).toContain(`Mark of this signature: ${row?.hash}`);
  const traces = site.db.q.select().from(waiverTraces).all();
  expect(traces).toEqual([{ waiverId: row?.id, address: '127.0.0.1', agent: expect.any(String), at: site.clock.now }]);
  expect((await nobody.post(at, signUpFields({ email: 'b@walkers.example' }))).status).toBe(303);
});

it('what is signed is the text that was shown: one published meanwhile is shown first', async () => {
  const { site, nobody, at } = await booked();
  const form = { ...signUpFields({ email: 'b@walkers.example' }), waiverVersion: '1', rulesVersion: '1' };
  expect((await nobody.get(at)).text).toContain('name="waiverVersion" value="1"');
  publishWaiver(site, 'Quite another text.');
  const refused = await nobody.post(at, form);
  expect(refused.status).toBe(422);
  expect(refused.text).toContain('The waiver was changed while this page was open');
  expect(refused.text).toContain('Quite another text.');
  expect((await nobody.post(at, { ...form, waiverVersion: '2' })).status).toBe(303);
  const last = site.db.q.select({ sha: waivers.textSha256 }).from(waivers).orderBy(asc(waivers.id)).all().at(-1);
  expect(last?.sha).toBe(textHash('Quite another text.'));
});

it('a text published meanwhile is shown before anything else is done with the form: ticks and signatures for the old one are gone', async () => {
  const { site, nobody, at } = await booked();
  publishWaiver(site, 'Quite another text.');
  const form = { ...signUpFields({ email: 'b@walkers.example' }), waiverVersion: '1', rulesVersion: '1' };
  const added = await nobody.post(at, { ...form, add: 'adult' });
  expect(added.status).toBe(422);
  expect(added.text).toContain('The waiver was changed while this page was open');
  const shown = formFields(added.text);
  expect([shown.waiverVersion, shown['members[0][signature]'], shown.agreeWaiver, shown.agreeRules]).toEqual(['2', '', undefined, 'yes']);
  expect(shown.name).toBe('Ana Ferreira');
});

it('what was shown once proves nothing of a later post', async () => {
  const { nobody, own, mailed, proofs } = await booked();
  const proof = /name="mail" value="([^"]+)"/.exec((await nobody.get(mailed)).text)?.[1] ?? '';
  await nobody.post(`${own}/proof`, { mail: proof });
  const form = formFields((await nobody.get(own)).text) as Record<string, string>;
  const two = { ...party('', 'Ana Ferreira', 'Mal Fake'), ...form, agreeWaiver: 'yes', 'members[1][signature]': 'Mal Fake' };
  expect((await nobody.post(own, two)).status).toBe(303);
  expect(proofs()).toEqual(['none', 'none']);
});

it('a new version of the text asks everyone to sign anew, on the private page and at the next sign-up', async () => {
  const { site, nobody, own, at } = await booked();
  expect((await nobody.get(own)).text).toContain('waiver signed');
  const body = '# Another text\n\nSign it.';
  publishWaiver(site, body);
  const page = (await nobody.get(own)).text;
  expect(page).toContain('waiver to sign');
  expect(page).toContain('Sign what is missing');
  const unsigned = await nobody.post(at, signUpFields({ email: 'b@walkers.example', 'members[0][signature]': '' }));
  expect(unsigned.status).toBe(422);
  const form = formFields(page) as Record<string, string>;
  expect((await nobody.post(own, { ...form, agreeWaiver: 'yes', 'members[0][signature]': 'Ana Ferreira' })).status).toBe(303);
  expect(site.db.q.select({ text: waivers.textId, sha: waivers.textSha256 }).from(waivers).orderBy(asc(waivers.id)).all().at(-1)?.sha).toBe(
    textHash(body),
  );
  const copies = site.db.q.select().from(notices).where(eq(notices.kind, 'waiver-copy')).all();
  expect(copies).toHaveLength(1);
  expect(mailMaker(site.services, site.views).make(copies[0] as NonNullable<(typeof copies)[0]>).text).toContain('# Another text');
});

it('a walk that has begun keeps what was signed for it, whatever is published after', async () => {
  const { site, cast, walkId, nobody, own } = await booked();
  site.clock.now = walkFacts().gatherAt + 1;
  publishWaiver(site, 'Quite another text.');
  expect((await nobody.get(own)).text).not.toContain('waiver to sign');
  expect((await cast.browser('leader').get(`/lead/walks/${walkId}`)).text).not.toContain('waiver to sign');
  expect((await cast.browser('leader').get(`/lead/walks/${walkId}/waivers`)).text).not.toContain('Ana Ferreira');
});

it('a reminder names who has yet to sign, and one that waits is brought up to date when they have', async () => {
  const { site, nobody, own } = await booked();
  const body = 'Another text. Sign it.';
  publishWaiver(site, body);
  site.clock.now = Date.UTC(2026, 11, 4, 14);
  const { services } = site;
  site.db.write((tx) => oweReminders(tx, oweContext(services)));
  const reminder = () => {
    const [row] = site.db.q.select().from(notices).where(eq(notices.kind, 'reminder')).all();
    return mailMaker(services, site.views).make(row as NonNullable<typeof row>).text;
  };
  expect(reminder()).toContain('The waiver of: Ana Ferreira.');
  const form = formFields((await nobody.get(own)).text) as Record<string, string>;
  await nobody.post(own, { ...form, agreeWaiver: 'yes', 'members[0][signature]': 'Ana Ferreira' });
  expect(reminder()).not.toContain('STILL TO SIGN');
});
