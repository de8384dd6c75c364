import { expect, it } from 'vitest';
import { seasonBegan } from '../../server/settings/season.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { signUpFields } from '../support/sign-up.js';

it('setting the next event brings no waiver of the last season back into force; a date that is only put right ends none', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const coordinator = cast.browser('coordinator');
  const set = async (eventDay: string) => {
    const form = formFields((await coordinator.get('/coordinate/season')).text);
    expect((await coordinator.post('/coordinate/season', { ...form, eventDay, eventDays: '1' })).status).toBe(303);
  };
  await set('2026-12-01');
  await cast.browser('nobody').post(`/walks/${cast.walkId}/sign-up`, signUpFields());
  await set('2026-11-27');
  expect(seasonBegan(site.services.settings(), site.clock.now)).toBeNull();
  // A slip of the hand, put right.
  await set('2026-11-20');
  expect(seasonBegan(site.services.settings(), site.clock.now)).toBeNull();
  await set('2026-11-27');
  site.clock.now = Date.UTC(2026, 10, 28, 12);
  const ended = seasonBegan(site.services.settings(), site.clock.now);
  expect(ended).toBe(site.clock.now);
  await set('2027-06-12');
  expect(seasonBegan(site.services.settings(), site.clock.now)).toBe(ended);
});
