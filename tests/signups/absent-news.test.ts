import { beforeEach, describe, expect, it } from 'vitest';
import type { WalkFacts } from '../../server/walks/facts.js';
import { cancelWalk, saveEdit } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import type { Browser } from '../support/browser.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { absentStage, BEN, booking, WALK } from './absent-stage.js';

let stage: Awaited<ReturnType<typeof absentStage>>;
let walkId: number;
let nobody: Browser;
beforeEach(async () => {
  stage = await absentStage();
  ({ nobody, walkId } = stage);
});

describe('whoever signs by a link of their own hears', () => {
  function edit(change: Partial<WalkFacts>) {
    const { site, cast } = stage;
    const opened = walkById(site.db.q, walkId)?.version ?? 0;
    saveEdit(site.services, { walkId, opened, facts: walkFacts({ ...WALK, ...change }), by: cast.ids.leader, tell: false, post: false });
  }

  async function asked() {
    const { own } = await stage.booked();
    stage.site.db.raw.exec("UPDATE notices SET state = 'sent', ended_at = 1 WHERE kind = 'to-sign'");
    return own;
  }

  const news = () => stage.mails('member-news');
  const text = (row: ReturnType<typeof news>[number] | undefined) => stage.letter(row);

  it('of a change of time or place, once for edits close together, with the net difference and their own link; of none that was put back', async () => {
    await asked();
    edit({ gather: '08:15' });
    edit({ gather: '08:15', meetingPoint: 'North gate' });
    expect(news().map((row) => [row.toEmail, row.signUpId])).toEqual([[BEN, null]]);
    const mail = text(news()[0]);
    expect(mail.subject).toMatch(/^New time and place: /);
    expect(mail.text).toMatch(/before: .*8:45[\s\S]*now: .*8:15[\s\S]*now: +North gate/);
    expect(mail.text).toContain('/waivers/');
    expect(mail.text + mail.html).not.toContain('/sign-ups/');
    edit({});
    expect(news()).toEqual([]);
    edit({ description: 'Ducks' });
    expect(news()).toEqual([]);
  });

  it('of nothing at an address that was corrected meanwhile: the new one hears, by a link of its own', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    await nobody.post(own, { ...form, 'members[1][email]': 'right@walkers.example' });
    expect(news()).toEqual([]);
    edit({ gather: '08:20' });
    expect(news().map((row) => row.toEmail)).toEqual(['right@walkers.example']);
    expect(text(news()[0]).text).toContain('/waivers/');
    // And whatever went wrong before: a signing link is made for nobody else's mail.
    const [row] = news();
    expect(() => stage.letter({ ...(row as NonNullable<typeof row>), toEmail: BEN })).toThrow();
  });

  it('of nothing by a mail that was in flight while the address was corrected, and came back', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    const flight = (set: string) => stage.site.db.raw.exec(`UPDATE notices SET ${set} WHERE kind = 'member-news'`);
    flight("state = 'sending', lease = 'x', lease_until = 9e15");
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    await nobody.post(own, { ...form, 'members[1][email]': 'right@walkers.example' });
    flight("state = 'pending', lease = NULL, lease_until = NULL");
    edit({ gather: '08:20' });
    expect(news().map((row) => row.toEmail)).toEqual(['right@walkers.example']);
  });

  it('nothing any more once they sign beside the booker', async () => {
    const { own } = await stage.booked();
    edit({ gather: '08:15' });
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    const here = {
      'members[1][email]': '',
      'members[1][signature]': 'Ben Birch',
      'members[2][signature]': 'Ben Birch',
      agreeWaiver: 'yes',
    };
    const contact = {
      'members[1][contactName]': 'Bea',
      'members[1][contactRelation]': 'sister',
      'members[1][contactPhone]': '(202) 555-0177',
    };
    expect((await nobody.post(own, { ...form, ...here, ...contact })).status).toBe(303);
    expect([stage.mails('to-sign'), news()]).toEqual([[], []]);
  });

  it('not once more of a change that may have arrived, when they are not expected any more', async () => {
    const own = await asked();
    edit({ gather: '08:15' });
    stage.site.db.raw.exec("UPDATE notices SET unsure = 1, attempts = 1 WHERE kind = 'member-news'");
    await nobody.post(`${own}/withdraw`);
    expect(news().map((row) => row.state)).toEqual(['replaced', 'pending']);
    expect(text(news()[1]).subject).toMatch(/^Not signed up any more/);
  });

  it('of what came after a mail that is gone already, from there on', async () => {
    await asked();
    edit({ gather: '08:15' });
    stage.site.db.raw.exec("UPDATE notices SET state = 'sent', ended_at = 1 WHERE kind = 'member-news'");
    edit({});
    expect(news().map((row) => row.state)).toEqual(['sent', 'pending']);
    expect(text(news()[1]).text).toMatch(/before: .*8:15[\s\S]*now: .*8:45/);
  });

  it('of a cancelled walk, in place of a change that waits', async () => {
    await asked();
    edit({ gather: '08:15' });
    cancelWalk(stage.site.services, walkId, stage.cast.ids.leader, { kind: 'safety', reason: 'Storm' });
    expect(news().map((row) => text(row).subject.split(':')[0])).toEqual(['Cancelled']);
    expect(text(news()[0]).text).toContain('Why: Storm');
  });

  it('that they are not expected any more, where the booker withdraws or takes them out; nothing where they were never asked', async () => {
    const own = await asked();
    const form = formFields((await nobody.get(own)).text) as Record<string, string>;
    const without = Object.fromEntries(Object.entries(form).filter(([name]) => !/members\[[12]\]/.test(name)));
    expect((await nobody.post(own, without)).status).toBe(303);
    expect(news().map((row) => text(row).subject.split(':')[0])).toEqual(['Not signed up any more']);
    await nobody.post(`${own}/withdraw`);
    expect(news()).toHaveLength(1);
    const second = (await nobody.post(`/walks/${walkId}/sign-up`, booking({ email: 'b@walkers.example' }))).headers.location ?? '';
    await nobody.post(`${second}/withdraw`);
    expect(news()).toHaveLength(1);
  });
});
