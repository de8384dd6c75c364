import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { auditLog, waivers } from '../../server/db/schema/index.js';
import { saveSettings } from '../../server/settings/store.js';
import { MOST_LIST_BYTES } from '../../server/waivers/list.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { FILE_INTENT } from '../../server/waivers/words.js';
import { formFields } from '../support/fields.js';
import { newText, opened, partyFor, signed } from './stage.js';

const AT = '/coordinate/walkers';
const CSV = [
  'name,email,signed',
  'Ana Ferreira,ana@walkers.example,2026-10-02',
  '"Birch, Bea",bea@walkers.example,2026-11-25',
  'Cai Dale,cai@walkers.example,2027-01-01',
  '=Dot,dot@walkers.example,2026-10-02',
].join('\r\n');

async function stage() {
  const set = await opened();
  const file = (bytes: Buffer | string, name = 'list.csv', fields: Record<string, string> = {}) =>
    set.coordinator.postFile(AT, fields, { field: 'file', name, bytes: Buffer.from(bytes) });
  const kept = () => set.site.db.q.select().from(waivers).all();
  const bring = (csv: string, fields: Record<string, string> = {}) =>
    set.coordinator.post(AT, { csv, intent: 'import', same: 'yes', ...fields });
  return { ...set, file, kept, bring };
}

describe('a list of waivers on file elsewhere', () => {
  it.each(['file', 'pasted'])('is looked through first, %s, and nothing is changed', async (how) => {
    const { site, coordinator, file, kept } = await stage();
    signed(site, 'Ana Ferreira', { email: 'ana@walkers.example' });
    const { status, text } = how === 'file' ? await file(CSV) : await coordinator.post(AT, { csv: CSV });
    expect(status).toBe(200);
    expect(text).toContain('<b>2</b> new, <b>1</b> with a waiver in force already, <b>1</b> that cannot be brought in');
    expect(text).toContain('<th scope="row">Birch, Bea</th><td>bea@walkers.example</td><td class="nowrap">2026-11-25</td>');
    expect(text).toMatch(/Line 4<\/span><\/th><td>Cai Dale, cai@walkers\.example, 2027-01-01<\/td><td>The date is still to come\./);
    expect(text).toContain('Bring these 2 in');
    expect(text).toContain(FILE_INTENT);
    expect(text).not.toContain('<td>ana@walkers.example');
    expect(kept()).toHaveLength(1);
    expect(site.db.q.select().from(auditLog).where(eq(auditLog.subject, 'waivers')).all()).toEqual([]);
  });

  it('is brought in by the form that the dry run shows, and the page names what was left out', async () => {
    const { site, cast, coordinator, file, kept } = await stage();
    const { csrf: _, ...fields } = formFields((await file(CSV)).text);
    const answer = await coordinator.postFile(AT, { ...fields, same: 'yes' }, { field: 'none', name: '', bytes: Buffer.alloc(0) });
    expect([answer.status, answer.headers.location]).toEqual([303, `${AT}?done=3&known=0&bad=1`]);
    const shared = { how: 'file', seenBy: 'Cora Danner', intent: FILE_INTENT, consent: '', proof: 'none', signUpId: null, memberId: null };
    expect(kept()).toMatchObject([
      {
        ...shared,
        email: 'ana@walkers.example',
        forName: 'Ana Ferreira',
        signedAs: 'self',
        signature: 'Ana Ferreira',
        signedAt: Date.UTC(2026, 9, 2),
      },
      { ...shared, forName: 'Birch, Bea', signerName: 'Birch, Bea', signedAt: Date.UTC(2026, 10, 25) },
      { ...shared, forName: '=Dot' },
    ]);
    const logged = site.db.q.select().from(auditLog).where(eq(auditLog.action, 'brought in a list of waivers')).all();
    expect(logged).toMatchObject([{ personId: cast.ids.coordinator, detail: { added: 3, known: 0, bad: 1 } }]);
    expect(JSON.stringify(logged)).not.toMatch(/Ana|Cai|@/);
    const page = (await coordinator.get(answer.headers.location ?? '')).text;
    expect(page).toContain('3 waivers are brought in.');
    expect(page).toContain('<li>Line 4: The date is still to come.</li>');
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 3, faults: [] });
  });

  it('counts for the next sign-up of that person', async () => {
    const { site, walkId, lead, bring } = await stage();
    site.db.write((tx) => partyFor(tx, walkId, [{ name: 'ana  ferreira' }]));
    expect((await lead.get(`/lead/walks/${walkId}/waivers`)).text).toContain('ana  ferreira');
    await bring(CSV);
    expect((await lead.get(`/lead/walks/${walkId}/waivers`)).text).toContain('Everyone confirmed has a waiver in force.');
  });

  it('sent twice changes nothing the second time, though the season is over', async () => {
    const { site, bring, kept } = await stage();
    site.db.write((tx) => saveSettings(tx, { eventDay: '2026-11-01', eventDays: 2 }));
    expect((await bring(CSV)).headers.location).toBe(`${AT}?done=3&known=0&bad=1`);
    expect((await bring(CSV)).headers.location).toBe(`${AT}?done=0&known=3&bad=1`);
    expect(kept()).toHaveLength(3);
    site.db.write((tx) => newText(tx, 'Second words.'));
    expect((await bring(CSV)).headers.location).toBe(`${AT}?done=3&known=0&bad=1`);
  });

  it('is not brought in without the tick, and all or nothing', async () => {
    const { site, bring, kept } = await stage();
    const refused = await bring(CSV, { same: '' });
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('<title>Error: ');
    expect(refused.text).toContain('href="#same"');
    expect(formFields(refused.text).csv).toContain('Birch, Bea');
    site.db.raw.exec(
      "CREATE TEMP TRIGGER full BEFORE INSERT ON main.waivers WHEN NEW.for_name = '=Dot' BEGIN SELECT RAISE(ABORT, 'the disk is full'); END",
    );
    expect((await bring(CSV)).status).toBe(500);
    site.log.splice(0);
    expect(kept()).toEqual([]);
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 0, faults: [] });
  });

  it('looked through for a version that is no longer in force is refused, ticked or not, and nothing is kept', async () => {
    const { site, coordinator, file, kept, bring } = await stage();
    const { csrf: _, ...fields } = formFields((await file(CSV)).text);
    expect(fields.version).toBe('1');
    site.db.write((tx) => newText(tx, 'Second words.'));
    for (const same of ['yes', '']) {
      const { status, text } = await coordinator.post(AT, { ...fields, same });
      expect(status).toBe(422);
      expect(text).toContain('<title>Error: ');
      expect(text).toContain('The waiver was changed: it is version 2 now, and you looked at version 1.');
      expect(text).toMatch(/href="#version"[\s\S]*id="version"/);
      expect(formFields(text)).toMatchObject({ version: '2', csv: fields.csv });
      expect(text).not.toContain(' checked');
    }
    expect((await bring(CSV, { version: 'x' })).status).toBe(422);
    expect(kept()).toEqual([]);
    expect((await bring(CSV, { version: '2' })).status).toBe(303);
    expect(kept()).toMatchObject([{ textId: 6 }, {}, {}]);
  });

  it('that is none is refused with a sentence, and stays to be mended', async () => {
    const { coordinator, file } = await stage();
    const broken = await coordinator.post(AT, { csv: 'name,email,signed\n"Ana,a@walkers.example,2026-10-02' });
    expect(broken.status).toBe(422);
    expect(broken.text).toMatch(/id="csv-error">Line 2: /);
    expect(formFields(broken.text).csv).toBe('name,email,signed\n"Ana,a@walkers.example,2026-10-02');
    expect((await coordinator.post(AT, {})).text).toContain('Choose a CSV file, or paste the list.');
    expect((await coordinator.post(AT, { intent: 'import', same: 'yes' })).status).toBe(422);
    const latin = await file(Buffer.from('name,email,signed\nZo\xeb,z@walkers.example,2026-10-02', 'latin1'));
    expect(latin.text).toMatch(/id="file-error">This file is not text in UTF-8/);
    const large = await file(`name,email,signed\n${'x'.repeat(MOST_LIST_BYTES)}`);
    expect([large.status, /Split it/.test(large.text), large.text.length < 100_000]).toEqual([422, true, true]);
    expect((await file(Buffer.alloc(11 * 1024 * 1024, 97))).status).toBe(422);
  });

  it('as large as the form can carry is carried, and brought in', async () => {
    const { coordinator, file, kept } = await stage();
    const people = Array.from({ length: 4600 }, (_, index) => `Ana Ferreira,ana.ferreira.${1000 + index}@b.example,2026-10-02`);
    const csv = ['name,email,signed', ...people]
      .join('\r\n')
      .slice(0, MOST_LIST_BYTES - 6000)
      .replace(/\r\n[^\n]*$/, '');
    const { csrf: _, ...fields } = formFields((await file(csv)).text);
    const sent = { ...fields, same: 'yes', csv: String(fields.csv).replaceAll('\n', '\r\n') };
    const answer = await coordinator.postFile(AT, sent, { field: 'none', name: '', bytes: Buffer.alloc(0) });
    expect(answer.headers.location).toMatch(/\?done=4\d\d\d&known=0&bad=0/);
    expect(kept().length).toBeGreaterThan(4000);
  });
});

describe('the page of walkers', () => {
  it('counts who has a waiver in force, by how it was given', async () => {
    const { site, walkId, coordinator, bring } = await stage();
    const counts = async () =>
      [...(await coordinator.get(AT)).text.matchAll(/<b>(\d+)<\/b> (signed on a page|on paper|on file)/g)].map((found) => Number(found[1]));
    expect(await counts()).toEqual([0, 0, 0]);
    const { signUpId, members } = site.db.write((tx) => partyFor(tx, walkId, [{ name: 'Ana Ferreira' }]));
    const own = { signUpId, memberId: members[0] ?? 0, email: 'ana@walkers.example' };
    signed(site, 'Ana Ferreira', { ...own, how: 'page', seenBy: '' });
    signed(site, 'Ana Ferreira', { ...own, how: 'paper' });
    signed(site, 'Ana Ferreira', { ...own, how: 'paper', signedAt: 5 });
    await bring(CSV);
    expect(await counts()).toEqual([1, 1, 2]);
    site.db.write((tx) => saveSettings(tx, { eventDay: '2026-11-01', eventDays: 2 }));
    expect(await counts()).toEqual([1, 1, 1]);
    site.db.write((tx) => newText(tx, 'Second words.'));
    expect(await counts()).toEqual([0, 0, 0]);
  });

  it.each(['?done=x', '?done=1&known=2&bad=3', '?done=99999999999', '?bad=1', '?done=0'])(
    'shows nothing that is not so for %s',
    async (query) => {
      const { coordinator } = await stage();
      expect((await coordinator.get(`${AT}${query}`)).status).toBe(200);
    },
  );
});
