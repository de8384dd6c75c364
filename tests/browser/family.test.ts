import { afterAll, beforeAll, expect, it } from 'vitest';
import { signingToken } from '../../server/signups/link.js';
import { type DemoSite, openDemo } from './demo-site.js';

const PHONE = { width: 390, height: 844 };

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo();
});
afterAll(async () => {
  await demo.close();
});

it('a family of four, one of them absent, from sign-up to all signed: on a phone, without script', async () => {
  const { id: walkId } = demo.db.raw
    .prepare(
      "SELECT id FROM walks WHERE minors = 1 AND state = 'posted' AND gather_at > ? AND capacity >= 20 ORDER BY gather_at DESC LIMIT 1",
    )
    .get(Date.now()) as { id: number };
  const page = await demo.open('nobody', { viewport: PHONE, javaScriptEnabled: false });
  await page.goto(`/walks/${walkId}/sign-up`);
  const booker = {
    name: 'Ana Ferreira',
    email: 'ana@walkers.example',
    phone: '(202) 555-0123',
    'members-0-contactName': 'Rui Ferreira',
    'members-0-contactRelation': 'brother',
    'members-0-contactPhone': '(202) 555-0188',
  };
  for (const [field, value] of Object.entries(booker)) await page.fill(`#${field}`, value);
  await page.getByRole('button', { name: 'Add another adult' }).click();
  await page.fill('#members-1-name', 'Ben Birch');
  // What is for under-18s steps aside until it is asked for.
  expect(await page.locator('#members-1-guardian').isVisible()).toBe(false);
  await page.getByText('Not with you to sign now?').click();
  await page.fill('#members-1-email', 'ben@walkers.example');
  for (const [place, name] of [
    [2, 'Kit Ferreira'],
    [3, 'Kay Birch'],
  ] as const) {
    await page.getByRole('button', { name: 'Add someone under 18' }).click();
    await page.fill(`#members-${place}-name`, name);
    await page.check(`#members-${place}-sameContact`);
    expect(await page.locator(`#members-${place}-contactName`).isVisible()).toBe(false);
  }
  await page.selectOption('#members-2-guardian', { label: 'Ana Ferreira' });
  await page.check('#agreeRules');
  await page.check('#agreeWaiver');
  await page.fill('#members-0-signature', 'Ana Ferreira');
  await page.fill('#members-2-signature', 'Ana Ferreira');
  await page.locator('button.do').click();
  expect(await page.locator('.errors').textContent()).toContain('Kay Birch, guardian');
  await page.selectOption('#members-3-guardian', { label: 'Ben Birch' });
  await page.locator('button.do').click();
  expect(await page.locator('.note.good').first().textContent()).toContain('You have places for');
  expect(await page.getByText('waiver to sign').count()).toBe(2);

  const { id } = demo.db.raw.prepare("SELECT id FROM party_members WHERE email = 'ben@walkers.example'").get() as { id: number };
  const ben = await demo.open('nobody', { viewport: PHONE, javaScriptEnabled: false });
  await ben.goto(`/waivers/${signingToken(demo.services.sealer, id, 'ben@walkers.example')}`);
  expect(await ben.locator('main').textContent()).toContain('Ana Ferreira booked a place for you and for Kay Birch');
  await ben.fill('#contactName', 'Bea Birch');
  await ben.fill('#contactRelation', 'sister');
  await ben.fill('#contactPhone', '(202) 555-0177');
  for (const label of await ben.getByLabel(/^You sign/).all()) await label.fill('Ben Birch');
  await ben.check('#agreeRules');
  await ben.check('#agreeWaiver');
  await ben.getByRole('button', { name: 'Sign', exact: true }).click();
  expect(await ben.locator('main').textContent()).toContain('All is signed.');
  await page.reload();
  expect(await page.getByText('waiver to sign').count()).toBe(0);
});
