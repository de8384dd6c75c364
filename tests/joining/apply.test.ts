import { beforeEach, describe, expect, it } from 'vitest';
import { people } from '../../server/db/schema/index.js';
import { formFields } from '../support/fields.js';
import { APPLY, type Joining, openJoining } from './stage.js';

let stage: Joining;
beforeEach(async () => {
  stage = await openJoining();
});

describe('how to become a leader', () => {
  it('is told to anyone, with a way to begin', async () => {
    const { text, status } = await stage.cast.browser('nobody').get('/lead/join');
    expect(status).toBe(200);
    expect(text).toContain('href="/sign-in?next=%2Flead%2Fjoin%2Fapply"');
    expect(text).toContain('<b><a href="/handbook">Read the handbook</a></b>');
    expect(text).toContain('<a href="/sign-in?next=%2Flead%2Fjoin">Sign in to see your steps.</a>');
    for (const step of ['Apply', 'Pass the quiz', "Sign the leader's agreement", 'Approval']) expect(text).toContain(`<b>${step}</b>`);
  });

  it('shows someone signed in what is next, and a leader that they lead and what is due', async () => {
    const walker = (await stage.cast.browser('walker').get('/lead/join')).text;
    expect(walker).toContain('<a class="button do" href="/lead/join/apply">Apply</a>');
    expect(walker).toContain('<span class="state on-course">next</span>');
    const leader = (await stage.cast.browser('leader').get('/lead/join')).text;
    expect(leader).toContain('You lead walks.');
    expect(leader).toContain('Fri, Dec 25, 2026');
    expect(leader).toContain('Not signed yet.');
  });

  it('is where a page for leaders sends those who are not, and where their own page leads', async () => {
    const refused = await stage.cast.browser('walker').get('/lead');
    expect(refused.status).toBe(403);
    expect(refused.text).toContain('href="/lead/join"');
    expect((await stage.cast.browser('walker').get('/me')).text).toContain('Lead walks?');
    expect((await stage.cast.browser('leader').get('/me')).text).not.toContain('Lead walks?');
  });
});

describe('the way to leading', () => {
  it('begins in the foot of every page and in the handbook, for whoever does not lead', async () => {
    const foot = async (visitor: 'nobody' | 'walker' | 'leader') => {
      const { text } = await stage.cast.browser(visitor).get('/');
      return text.slice(text.indexOf('<footer')).includes('<a href="/lead/join">Lead walks</a>');
    };
    expect([await foot('nobody'), await foot('walker'), await foot('leader')]).toEqual([true, true, false]);
    for (const visitor of ['nobody', 'walker'] as const)
      expect((await stage.cast.browser(visitor).get('/handbook')).text).toMatch(/<main[\s\S]*href="\/lead\/join"[\s\S]*<\/main>/);
  });

  it('takes as long to read as the handbook says', async () => {
    const minutes = async (page: string) => /about (\d+) minutes/.exec((await stage.cast.browser('nobody').get(page)).text)?.[1];
    expect(await minutes('/lead/join')).toBe(await minutes('/handbook'));
  });

  it('leads an applicant to a page of the handbook that is there', async () => {
    await stage.apply();
    const walker = stage.cast.browser('walker');
    const next = /<a class="button do" href="([^"]*)">Read the handbook/.exec((await walker.get('/lead/join')).text)?.[1] ?? '';
    expect([next, (await walker.get(next)).status]).toEqual(['/handbook/planning-a-route', 200]);
  });

  it('says to whoever led before that they did, where they may apply and where they may not come', async () => {
    await stage.cast.browser('leader').post('/lead/about/leave');
    const before = stage.cast.browser('leader');
    const words = 'You led walks until November 2026; to lead again, speak to a coordinator or apply.';
    const refused = await before.get('/lead');
    expect([refused.status, refused.text.includes(words)]).toEqual([403, true]);
    const { text } = await before.get('/lead/join');
    expect([text.includes(words), text.includes('Five steps')]).toEqual([true, false]);
    expect((await stage.cast.browser('walker').get('/lead')).text).not.toContain('You led walks');
  });
});

describe('applying', () => {
  it('offers every area but the home area as another one, and ignores the home area where it is sent', async () => {
    const id = await stage.apply({ otherAreas: ['lantern-hills', 'east-fork'] });
    expect(stage.application(id).otherAreas).toEqual([2]);
    const offered = [...(await stage.cast.browser('walker').get('/lead/join/apply')).text.matchAll(/name="otherAreas" value="([^"]*)"/g)];
    expect(offered.map((one) => one[1])).not.toContain('lantern-hills');
    expect(offered.map((one) => one[1])).toContain('east-fork');
  });

  it('is one application, mailed once to every coordinator who may sign in', async () => {
    const { site, cast } = stage;
    const coordinator = { coordinator: true, createdAt: 0 };
    site.db.write((tx) =>
      tx
        .insert(people)
        .values([
          { ...coordinator, name: 'Cy', email: 'cy@waymeet.example' },
          { ...coordinator, name: 'Out', email: 'out@waymeet.example', disabledAt: 1 },
        ])
        .run(),
    );
    const answer = await cast.browser('walker').post('/lead/join/apply', APPLY);
    expect([answer.status, answer.headers.location]).toEqual([303, '/lead/join']);
    const id = await stage.apply({ name: 'Wendel J. Ames', days: '3' });
    expect(id).toBe(1);
    expect(stage.application(1)).toMatchObject({
      name: 'Wendel J. Ames',
      days: [3],
      state: 'open',
      longestMetres: 20_117,
      otherAreas: [2],
    });
    expect(stage.owed()).toEqual([
      'application coordinator@waymeet.example: Wendel Ames would like to lead walks',
      'application cy@waymeet.example: Wendel Ames would like to lead walks',
    ]);
  });

  it('that is changed tells nobody again, also when the first mail is long forgotten', async () => {
    await stage.apply();
    stage.site.db.raw.exec('DELETE FROM notices');
    await stage.apply({ why: 'One thing more.' });
    expect(stage.owed()).toEqual([]);
  });

  it('is refused with a sentence beside each field, and keeps all that was typed', async () => {
    const typed = { ...APPLY, phone: '12', longest: 'far', days: [] };
    const { status, text } = await stage.cast.browser('walker').post('/lead/join/apply', typed);
    expect(status).toBe(422);
    expect(text).toContain('<title>Error: Apply to lead walks');
    expect(text).toContain('Three things to mend');
    expect(formFields(text)).toMatchObject({
      name: APPLY.name,
      phone: '12',
      longest: 'far',
      area: 'lantern-hills',
      otherAreas: 'east-fork',
      why: APPLY.why,
    });
    expect(stage.owed()).toEqual([]);
  });

  it('can be changed, and comes back as it was typed', async () => {
    await stage.apply();
    const { text } = await stage.cast.browser('walker').get('/lead/join/apply');
    expect(text).toContain('<h1>Your application</h1>');
    expect(formFields(text)).toMatchObject({ ...APPLY, phone: '+1 202 555 0147' });
  });

  it('can be withdrawn, twice without harm, and begun anew', async () => {
    await stage.apply();
    const walker = stage.cast.browser('walker');
    for (const _ of [1, 2]) expect((await walker.post('/lead/join/apply/withdraw')).headers.location).toBe('/lead/join');
    expect(stage.application(1)).toMatchObject({ state: 'withdrawn', decidedAt: stage.site.clock.now });
    expect((await walker.get('/lead/join')).text).toContain('<a class="button do" href="/lead/join/apply">Apply</a>');
    expect(await stage.apply()).toBe(2);
    expect(stage.owed()).toHaveLength(2);
  });

  it('lets no one have two open, whatever comes at once', async () => {
    await stage.apply();
    expect(() =>
      stage.site.db.raw.exec(
        `INSERT INTO applications (person_id, state, name, phone, area_id, why, days, longest_metres, other_areas, created_at, changed_at)
         SELECT person_id, 'open', name, phone, area_id, why, days, longest_metres, other_areas, 1, 1 FROM applications`,
      ),
    ).toThrow(/UNIQUE/);
  });
});
