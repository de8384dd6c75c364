import { describe, expect, it } from 'vitest';
import { turnedUp } from '../../server/db/schema/index.js';
import { saveSettings } from '../../server/settings/store.js';
import { endingFields, turnUp, walkOut } from '../day/walk-out.js';
import { member, signUpForm } from '../support/sign-up.js';

async function closed() {
  const olive = member({ name: 'Olive Reed', email: 'other@waymeet.example', signature: '', contact: null });
  const members = [member({ name: 'Wendel  AMES' }), olive, member({ name: 'Kit Ames' })];
  const out = await walkOut(signUpForm({ name: 'Wendel Ames', email: 'walker@waymeet.example', members }));
  const { cast, path } = out;
  const ways = endingFields(['m1', 'full'], ['m2', 'full'], ['m3', 'absent'], ['m4', 'short-1'], ['m5', 'full'], ['m6', 'full']);
  const answer = await cast.browser('leader').post(path, ways);
  expect(answer.status).toBe(303);
  return out;
}

describe('the log of whoever is signed in', () => {
  it('has their own miles, those of their party apart, and nothing of those who keep their own log', async () => {
    const { cast } = await closed();
    const { text, headers } = await cast.browser('walker').get('/me/log');
    expect(headers['cache-control']).toBe('no-store');
    const [own = '', party = ''] = text.split('<h2>Your party</h2>');
    expect(own).toContain('The next may be up to <b>4.1 mi</b>');
    expect(own).toMatch(/<b>3.7 mi<\/b> <a href="\/walks\/1">/);
    expect(party).toContain('<b>Kit Ames</b>: 8.2 mi');
    expect(text).not.toContain('Olive Reed');
  });

  it('finds an absent adult by their own address, and whoever led it', async () => {
    const { cast } = await closed();
    expect((await cast.browser('other walker').get('/me/log')).text).toContain('The next may be up to <b>9.0 mi</b>');
    expect((await cast.browser('co-leader').get('/me/log')).text).toContain('you led it');
    expect((await cast.browser('other leader').get('/me/log')).text).toContain('Nothing here yet');
  });

  it('has the children who turned up in their care, and so has all that is held about them', async () => {
    for (const guardian of ['m4', 'tkey-of-the-guardian']) {
      const { site, cast, path } = await walkOut(signUpForm({ name: 'Wendel Ames', email: 'walker@waymeet.example' }));
      const grownUp = { walkId: cast.walkId, key: 'key-of-the-guardian', name: 'Wendel Ames', email: 'walker@waymeet.example', addedAt: 0 };
      if (guardian.startsWith('t')) site.db.write((tx) => tx.insert(turnedUp).values(grownUp).run());
      turnUp(site, cast.walkId, 'Zoe Quill', guardian);
      const rest: [string, string][] = guardian.startsWith('t') ? [['tkey-of-the-guardian', 'full']] : [];
      const ways = endingFields(['m1', 'full'], ['m2', 'full'], ['m3', 'absent'], ['m4', 'absent'], ...rest, ['tturnedup1', 'short-1']);
      expect((await cast.browser('leader').post(path, ways)).status).toBe(303);
      const [, party = ''] = (await cast.browser('walker').get('/me/log')).text.split('<h2>Your party</h2>');
      expect(party, guardian).toContain('<b>Zoe Quill</b>: 3.7 mi');
      const { body } = (await cast.browser('walker').post('/me/export')) as { body: { turnedUp: { name: string }[] } };
      expect(
        body.turnedUp.map(({ name }) => name),
        guardian,
      ).toContain('Zoe Quill');
      expect((await cast.browser('other walker').get('/me/log')).text).not.toContain('Zoe Quill');
    }
  });

  it('says what the plan asks this week, and that it asks for more', async () => {
    const { site, cast } = await closed();
    site.db.write((tx) => saveSettings(tx, { eventDay: '2027-03-13', eventDayMetres: 35_406, seasonWeeks: 16 }));
    const { text } = await cast.browser('walker').get('/me/log');
    expect(text).toContain('This week of the plan: week 2 of 16');
    expect(text).toContain('You walked <b>3.7 mi</b> on Sat, Dec 5');
  });

  it('gives the same to other programs, those they did not come to among them', async () => {
    const { cast } = await closed();
    const { body } = (await cast.browser('walker').get('/me.json')) as { body: { walkLog: object[] } };
    expect(body.walkLog).toMatchObject([
      { name: 'Wendel  AMES', outcome: 'short', metres: 6000 },
      { name: 'Kit Ames', outcome: 'full', metres: 13_197 },
    ]);
  });

  it('is empty once they are erased, and the walk keeps its numbers', async () => {
    const { site, cast } = await closed();
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    const left = site.db.raw.prepare("SELECT count(*) FROM attendance WHERE outcome <> 'absent'").pluck().get();
    expect(left).toBe(5);
    expect(site.db.raw.prepare("SELECT count(*) FROM notices WHERE to_email = 'walker@waymeet.example'").pluck().get()).toBe(0);
  });
});
