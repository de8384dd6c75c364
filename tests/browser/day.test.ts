import type { Page } from 'playwright-core';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { axeFaults } from './axe.js';
import { fromGatheringToClosing, layDay } from './day.js';
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
    if (!script) return;
    // In a window as tall as the page: what lies under the line that takes a tap back is a scroll away.
    await page.setViewportSize({ width: 390, height: Number(await page.evaluate('document.documentElement.scrollHeight')) });
    expect(await axeFaults(page), step).toEqual([]);
    await page.setViewportSize({ width: 320, height: 844 });
    expect(await page.evaluate('document.documentElement.scrollWidth'), `${step}, narrow`).toBe(320);
    await page.setViewportSize(options.viewport);
  };
  const [leader, coordinator, walker] = [
    await demo.open('leader', options),
    await demo.open('coordinator', options),
    await demo.open('walker', options),
  ];
  await fromGatheringToClosing(day, { leader, coordinator, walker, script, seen });
  expect(said['day pack']).toContain('with emergency contacts');
  expect(said['roll opened']).toContain(`${day.names.length}to come`);
  expect(said['no back marker yet']).toContain('Choose who walks last.');
  const out = day.names.length;
  expect(said['set off']).toMatch(new RegExp(`${out} set off (=|&#x3D;) 0 finished \\+ 0 left early \\+ ${out} on the way`));
  expect(said['one missing']).toContain('1not here yet');
  expect(said['whom to ring']).toMatch(/Last seen when the group set off.*their own phone: \+1.*The emergency contact/);
  expect(said.emergency).toMatch(/Call 911.*Stop 1: Fountain, after one lap/);
  expect(said['emergency contact']).toMatch(/Phone: .*\+1 .*because of an emergency/);
  expect(said.finish).toContain(`${out} set off = ${out - 1} finished + 1 left early + 0 on the way`);
  expect(said.closed).toMatch(new RegExp(`Saved.*Walked ?${out}.*Did not come ?1.*Left early ?1.*Turned up ?1`));
  expect(said['a closed walk']).toMatch(/Closed.*Thanks:/);
  expect(demo.db.raw.prepare('SELECT count(*) FROM incidents WHERE walk_id = ?').pluck().get(day.walk)).toBe(1);
  expect(said.incidents).toContain('4-mile walk: Lantern Park laps');
  expect(said.log).toMatch(/Your walks 3.6 mi 4-mile walk: Lantern Park laps/);
  const thanked = demo.db.raw.prepare("SELECT to_email FROM notices WHERE kind = 'thanks' AND walk_id = ?").pluck().all(day.walk);
  expect(thanked).toEqual(expect.arrayContaining(['walker@waymeet.example', 'maud@walkers.example']));
});
