import { eq } from 'drizzle-orm';
import { expect, it } from 'vitest';
import { notices } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';

it('a leader whom a coordinator stands down is told once, and an answer reaches the coordinator', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const path = `/coordinate/leaders/${cast.ids['other leader']}/stand-down`;
  for (const _ of [1, 2]) await cast.browser('coordinator').post(path, {});
  const mails = site.db.q.select().from(notices).where(eq(notices.toEmail, 'second@waymeet.example')).all();
  expect(mails).toHaveLength(1);
  const [mail] = mails.map(mailMaker(site.services, site.views).make);
  expect(mail?.subject).toBe('You no longer lead walks');
  expect(mail?.replyTo).toEqual({ name: 'Cora Danner', address: 'coordinator@waymeet.example' });
  expect(mail?.text).toContain('You no longer lead walks from today.');
  expect(mail?.text).toContain('Questions? Answer this mail: it reaches Cora Danner.');
});

it('whoever leaves themself is not told that they do', async () => {
  const site = await openSite();
  const cast = layCast(site);
  await cast.browser('other leader').post('/lead/about/leave', {});
  expect(site.db.q.select().from(notices).where(eq(notices.toEmail, 'second@waymeet.example')).all()).toEqual([]);
});
