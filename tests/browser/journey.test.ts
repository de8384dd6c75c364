import { afterAll, beforeAll, expect, it } from 'vitest';
import { type DemoSite, openDemo } from './demo-site.js';

const PHONE = { width: 390, height: 844 };

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo();
});
afterAll(async () => {
  await demo.close();
});

it('from posted walk to delivered notice, on a phone, without script', async () => {
  const without = { viewport: PHONE, javaScriptEnabled: false };
  const leader = await demo.open('leader', without);
  await leader.goto('/lead');
  await leader.getByRole('link', { name: 'Post a walk' }).click();
  const day = new Date(Date.now() + 20 * 86_400_000).toISOString().slice(0, 10);
  const typed = {
    date: day,
    gather: '08:45',
    setOff: '09:00',
    meetingPoint: 'Chapel gate',
    landmark: 'under the clock',
    routeName: 'Journey round',
    locality: 'Lantern Hills',
    distance: '6',
    capacity: '2',
  };
  for (const [field, value] of Object.entries(typed)) await leader.fill(`#${field}`, value);
  await leader.getByRole('button', { name: 'Post the walk' }).click();
  // Six miles without toilets or water: to mend, or to explain.
  expect(await leader.locator('.errors').textContent()).toContain('Two things to mend');
  await leader.locator('#stops-0-distance').fill('3');
  await leader.locator('#stops-0-name').fill('Footbridge kiosk');
  await leader.getByRole('checkbox', { name: 'toilets' }).first().check();
  await leader.fill('#explain-water', 'Bring a full bottle: the kiosk is shut in winter');
  await leader.getByRole('button', { name: 'Post the walk' }).click();
  expect(await leader.locator('h1').textContent()).toBe('6-mile walk: Journey round, Lantern Hills');
  const walkId = /\/lead\/walks\/(\d+)$/.exec(leader.url())?.[1] ?? '';

  const walker = await demo.open('nobody', without);
  await walker.goto(`/?from=${day}&max=7`);
  await walker.getByRole('link', { name: 'Journey round' }).click();
  await walker.getByRole('link', { name: 'Sign up', exact: true }).click();
  const who = {
    name: 'Ana Ferreira',
    email: 'ana@walkers.example',
    phone: '(202) 555-0123',
    'members-0-contactName': 'Rui',
    'members-0-contactRelation': 'brother',
    'members-0-contactPhone': '(202) 555-018',
    'members-0-signature': 'Ana Ferreira',
  };
  for (const [field, value] of Object.entries(who)) await walker.fill(`#${field}`, value);
  await walker.check('#agreeRules');
  await walker.check('#agreeWaiver');
  await walker.keyboard.press('Enter');
  await walker.waitForSelector('.errors');
  expect(await walker.locator('.errors').textContent()).toContain('One thing to mend');
  expect(await walker.inputValue('#members-0-contactName')).toBe('Rui');
  await walker.fill('#members-0-contactPhone', '(202) 555-0188');
  await walker.locator('button.do').click();
  expect(await walker.locator('.note.good').textContent()).toContain('You have a place');
  expect(await walker.locator('main').textContent()).toContain('Leader: Marisol Vance');

  await leader.goto(`/lead/walks/${walkId}`);
  expect(await leader.locator('.people').textContent()).toContain('Ana Ferreira');
  await leader.getByRole('link', { name: 'Edit', exact: true }).click();
  await leader.fill('#meetingPoint', 'North gate');
  await leader.getByRole('button', { name: 'See who will be told' }).click();
  expect(await leader.locator('main').textContent()).toContain('ana@walkers.example');
  await leader.getByRole('button', { name: 'Save and tell them' }).click();

  const coordinator = await demo.open('coordinator', without);
  await expect
    .poll(async () => {
      await coordinator.goto('/coordinate/mail');
      return coordinator.locator('tbody tr').first().textContent();
    })
    .toMatch(/Ana Ferreira[\s\S]*Change/);
  await coordinator.getByRole('link', { name: 'Change' }).first().click();
  const mail = await coordinator.locator('.mail').first().textContent();
  expect(mail).toMatch(/before: Chapel gate\s+now: +North gate/);

  await walker.reload();
  expect(await walker.locator('.meet').textContent()).toContain('North gate');
  await walker.getByRole('link', { name: 'Withdraw…' }).click();
  await walker.getByRole('button', { name: 'Yes, withdraw' }).click();
  expect(await walker.locator('main').textContent()).toContain('You have withdrawn');
});
