import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { auditLog, notices, waivers, walks } from '../../server/db/schema/index.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { PAPER_INTENT } from '../../server/waivers/words.js';
import { cancelWalk } from '../../server/walks/save.js';
import { NOON } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { newText, opened, partyFor, signed } from './stage.js';

const PARTY = [
  { name: 'Ana Ferreira' },
  { name: 'Tom Ferreira', minor: true, guardian: 0 },
  { name: 'Lia Ferreira', minor: true },
  { name: 'Rui Ferreira', email: 'rui@walkers.example' },
];
const DAY_MS = 24 * 60 * 60 * 1000;

async function stage() {
  const set = await opened();
  const { signUpId, members } = set.site.db.write((tx) => partyFor(tx, set.walkId, PARTY));
  const [ana = 0, tom = 0, lia = 0, rui = 0] = members;
  const at = `/lead/walks/${set.walkId}/waivers`;
  const post = (member: (number | string)[], changed: Record<string, string> = {}) =>
    set.lead.post(at, { version: '1', seenBy: 'Lena Marsh', member: member.map(String), ...changed });
  const kept = () => set.site.db.q.select().from(waivers).all();
  return { ...set, at, post, kept, signUpId, ana, tom, lia, rui };
}

describe('signed on paper', () => {
  it('lists everyone confirmed who has yet to sign, each minor under their guardian', async () => {
    const { site, lead, at, walkId, signUpId, ana, tom, rui } = await stage();
    signed(site, 'Rui Ferreira', { how: 'paper', signUpId, memberId: rui, email: 'rui@walkers.example' });
    site.db.write((tx) => partyFor(tx, walkId, [{ name: 'Wai Ting' }], { state: 'waiting', email: 'wai@walkers.example' }));
    const { text } = await lead.get(at);
    expect([...text.matchAll(/name="member" value="(\d+)"/g)].map((found) => Number(found[1]))).toEqual([ana, tom]);
    expect(text).toContain('<b>Tom Ferreira</b>, under 18: guardian Ana Ferreira signs for Tom Ferreira');
    expect(text).toContain('<b>Lia Ferreira</b>, under 18: cannot walk yet. A guardian must be in the party.');
    expect(text).not.toMatch(/Wai Ting|<b>Rui Ferreira/);
    expect(text).toMatch(/name="seenBy"[^>]* value="Lena Marsh"/);
  });

  it('keeps a signature for each, by the address of whoever signed, and writes it down', async () => {
    const { site, cast, post, kept, walkId, signUpId, ana, tom, rui } = await stage();
    const answer = await post([ana, tom, rui], { seenBy: '  Coe   Lindgren ' });
    expect([answer.status, answer.headers.location]).toEqual([303, `/lead/walks/${walkId}/waivers?saved=3`]);
    const shared = {
      how: 'paper',
      intent: PAPER_INTENT,
      consent: '',
      proof: 'none',
      seenBy: 'Coe Lindgren',
      signedAt: NOON,
      keptAt: NOON,
      signUpId,
    };
    expect(kept()).toMatchObject([
      { ...shared, memberId: ana, email: 'ana@walkers.example', forName: 'Ana Ferreira', signedAs: 'self', signature: 'Ana Ferreira' },
      { ...shared, memberId: tom, email: 'ana@walkers.example', forName: 'Tom Ferreira', signedAs: 'guardian', signerName: 'Ana Ferreira' },
      { ...shared, memberId: rui, email: 'rui@walkers.example', forName: 'Rui Ferreira', signedAs: 'self', signature: 'Rui Ferreira' },
    ]);
    const logged = site.db.q.select().from(auditLog).where(eq(auditLog.action, 'kept waivers signed on paper')).all();
    expect(logged).toMatchObject([
      { personId: cast.ids.leader, subject: `walk:${walkId}`, detail: { members: [ana, tom, rui], seenBy: 'Coe Lindgren' } },
    ]);
    expect(verifyChain(site.db.raw, site.services.sealer)).toEqual({ count: 3, faults: [] });
  });

  it('owes one copy to each address that signed, in the same transaction', async () => {
    const { site, post, kept, ana, tom, rui } = await stage();
    const copies = () =>
      site.db.q
        .select()
        .from(notices)
        .where(eq(notices.kind, 'waiver-copy'))
        .all()
        .map(({ toName, toEmail, content }) => [
          toName,
          toEmail,
          'walk' in content ? content.walk.waivers?.map((one) => one.forName) : null,
        ]);
    site.db.raw.exec("CREATE TEMP TRIGGER full BEFORE INSERT ON main.notices BEGIN SELECT RAISE(ABORT, 'the disk is full'); END");
    expect((await post([ana])).status).toBe(500);
    site.log.splice(0);
    expect(kept()).toEqual([]);
    site.db.raw.exec('DROP TRIGGER temp.full');
    await post([ana, tom, rui]);
    await post([ana, tom, rui]);
    expect(copies()).toEqual([
      ['Ana Ferreira', 'ana@walkers.example', ['Ana Ferreira', 'Tom Ferreira']],
      ['Rui Ferreira', 'rui@walkers.example', ['Rui Ferreira']],
    ]);
  });

  it('posted twice is once, and people of other walks or without a guardian change nothing', async () => {
    const { site, lead, at, post, kept, ana, tom, lia, rui } = await stage();
    const other = site.db.write((tx) => partyFor(tx, 2, [{ name: 'Other Walker' }]));
    await post([ana, ana]);
    const again = await post([ana, lia, ...other.members, 999, 'x', '-1']);
    expect(again.headers.location).toBe(`${at}?saved=0`);
    expect(kept()).toHaveLength(1);
    expect(site.db.q.select().from(auditLog).where(eq(auditLog.action, 'kept waivers signed on paper')).all()).toHaveLength(1);
    expect((await lead.get(`${at}?saved=0`)).text).toContain('Nothing was added');
    expect((await lead.get(`${at}?saved=1`)).text).toContain('One signature is kept.');
    await post([tom, rui]);
    expect((await post([])).headers.location).toBe(`${at}?saved=0`);
  });

  it('refuses nobody ticked and nobody named, and keeps what was typed', async () => {
    const { post, kept, ana } = await stage();
    const nobody = await post([], { seenBy: 'Coe' });
    expect(nobody.status).toBe(422);
    expect(nobody.text).toContain('<a href="#member">Who signed: Tick who has signed a sheet.</a>');
    expect(nobody.text).toMatch(/name="seenBy"[^>]* value="Coe"/);
    const unseen = await post([ana], { seenBy: ' ' });
    expect(unseen.status).toBe(422);
    expect(unseen.text).toContain('Type the name of whoever saw them sign.');
    expect(unseen.text).toMatch(new RegExp(`value="${ana}" checked`));
    expect((await post([ana], { seenBy: 'A'.repeat(81) })).status).toBe(422);
    expect(kept()).toEqual([]);
    expect((await post([ana], { seenBy: 'A'.repeat(80) })).status).toBe(303);
  });

  it('refuses sheets of a text that is no longer in force, and then nobody is ticked', async () => {
    const { site, post, kept, ana } = await stage();
    site.db.write((tx) => newText(tx, 'Second words.'));
    const answer = await post([ana]);
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('The waiver was changed: its text is version 2 now. Sheets of version 1 do not count any more');
    expect(answer.text).toContain('name="version" value="2"');
    expect(answer.text).not.toContain(' checked');
    expect(answer.text).toMatch(/href="#version"[\s\S]*id="version"/);
    expect(kept()).toEqual([]);
    expect((await post([ana], { version: '2' })).status).toBe(303);
  });

  it('is open from posting until thirty days after gathering, closed walk or not', async () => {
    const { site, lead, at, post, walkId, ana, rui } = await stage();
    site.db.q.update(walks).set({ state: 'closed' }).where(eq(walks.id, walkId)).run();
    const end = walkFacts().gatherAt + 30 * DAY_MS;
    // Sessions end after a time without use.
    for (site.clock.now = NOON; site.clock.now < end - DAY_MS; site.clock.now += DAY_MS) await lead.get('/lead');
    site.clock.now = end - 1;
    expect((await post([ana])).status).toBe(303);
    site.clock.now = end;
    expect((await post([rui])).status).toBe(409);
    expect((await lead.get(at)).text).toContain('more than 30 days ago');
  });

  it('a cancelled walk and a draft have nothing to sign', async () => {
    const { site, cast, lead, at, post, walkId, ana } = await stage();
    const draft = (await lead.get(`/lead/walks/${cast.draftId}/waivers`)).text;
    expect(draft).toContain('This walk is a draft');
    cancelWalk(site.services, walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
    const { text } = await lead.get(at);
    expect(text).toContain('This walk is cancelled');
    expect(text).not.toContain('name="member"');
    expect((await post([ana])).status).toBe(409);
    expect((await lead.get(`${at}/print`)).status).toBe(409);
  });
});

describe('the sheets to print', () => {
  it('are one for each who has yet to sign, and blank ones', async () => {
    const { lead, at } = await stage();
    const { text } = await lead.get(`${at}/print?blank=2`);
    const sheets = text.split('<article').slice(1);
    expect(sheets).toHaveLength(5);
    expect(sheets[0]).toContain('For: <b>Ana Ferreira</b>');
    expect(sheets[1]).toMatch(/For: <b>Tom Ferreira<\/b>, under 18[\s\S]*Name of the guardian<\/dt><dd>Ana Ferreira/);
    expect(sheets[2]).toContain('For: <b>Rui Ferreira</b>');
    expect(text).not.toContain('<b>Lia Ferreira</b>');
    for (const sheet of sheets) {
      for (const words of [
        'Harrow Fells Walkers',
        'Quarry Lakes loop',
        'Sat, Dec 5, 2026',
        PAPER_INTENT,
        'version 1',
        'Signature',
        'Seen by',
      ])
        expect(sheet).toContain(words);
      expect(sheet).toMatch(/SHA-256 <span class="hash">[0-9a-f]{64}</);
      expect(sheet).toContain('<h3>What I understand</h3>');
    }
  });

  it.each([
    ['', 8],
    ['?blank=0', 0],
    ['?blank=40', 40],
    ['?blank=41', 40],
    ['?blank=-1', 8],
    ['?blank=x', 8],
  ])('%s gives so many blank ones', async (query, blank) => {
    const { lead, cast } = await opened();
    const { text } = await lead.get(`/lead/walks/${cast.walkId}/waivers/print${query}`);
    expect(text.split('<article').length - 1).toBe(blank);
  });
});
