import type { Page } from 'playwright-core';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { fromGatheringToClosing, layDay, STRANGER } from './day.js';
import { type DemoSite, openDemo } from './demo-site.js';

let demo: DemoSite;

// Each has a region of its own: a walk is closed once.
beforeEach(async () => {
  demo = await openDemo();
});
afterEach(async () => {
  await demo.close();
});

it.each([
  ['with script', true],
  ['without script', false],
])('a walk from gathering to closing, on a phone, %s', async (_, script) => {
  const day = layDay(demo);
  const options = { viewport: { width: 390, height: 844 }, javaScriptEnabled: script };
  const said: Record<string, string> = {};
  const seen = async (step: string, page: Page) => {
    said[step] = ((await page.locator('main').textContent()) ?? '').replace(/\s+/g, ' ');
    expect(await page.evaluate('document.documentElement.scrollWidth'), step).toBe(390);
  };
  const [leader, coordinator, walker] = [
    await demo.open('leader', options),
    await demo.open('coordinator', options),
    await demo.open('walker', options),
  ];
  await fromGatheringToClosing(day, { leader, coordinator, walker, script, seen });
  console.log(JSON.stringify(said, null, 1).slice(0, 20000));
  expect(STRANGER).toBeTruthy();
});
