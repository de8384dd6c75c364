import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type DemoSite, openDemo } from './demo-site.js';
import { dumpOf, entriesIn, layRoll, openRoll, type Phone, readyWithoutSignal, tap } from './roll.js';

const MANY = 150;
const FORTY = 40;

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo();
});
afterAll(async () => {
  await demo.close();
});

const sentLine = (page: Page) => page.locator('.roll-sent b');
const figure = (page: Page, label: string) => page.locator('#counts dl > div').filter({ hasText: label }).locator('dd');

describe('the roll without signal', () => {
  it('forty people ticked by two phones, one killed meanwhile, all sent twice, are one roll with nobody lost or doubled', async () => {
    const roll = layRoll(demo, FORTY);
    const first = await openRoll(demo, 'leader', roll);
    const second = await openRoll(demo, roll.coLeader, roll);
    for (const phone of [first, second]) await phone.page.context().setOffline(true);

    for (const name of roll.names.slice(0, 25)) await tap(first.page, name, 'Arrived');
    expect(await sentLine(first.page).textContent()).toContain('25 not sent');
    await first.kill();
    await first.reopen();
    expect(await sentLine(first.page).textContent()).toContain('25 not sent');
    expect(await figure(first.page, 'arrived').textContent()).toBe('25');
    for (const name of roll.names.slice(25)) await tap(first.page, name, 'Arrived');
    // The second phone says the same of some, something else of one, and puts a slip right.
    for (const name of roll.names.slice(0, 10)) await tap(second.page, name, 'Arrived');
    await second.page.getByRole('button', { name: 'Undo' }).click();
    await tap(second.page, roll.names[9] ?? '', 'Arrived');
    await notWalking(second.page, roll.names[39] ?? '');
    expect(entriesIn(demo, roll.walk)).toEqual([]);

    for (const phone of [first, second, first]) await online(phone);
    for (const { page } of [first, second]) {
      await expect.poll(() => figure(page, 'arrived').textContent()).toBe('39');
      expect(await sentLine(page).textContent()).toMatch(/^All sent/);
      expect(await page.locator('.roll-claim').count()).toBe(2);
      expect(await page.locator('.roll-row').count()).toBe(FORTY);
    }
    const kept = entriesIn(demo, roll.walk);
    expect(kept).toHaveLength(40 + 13);
    expect(new Set(kept.map((one) => one.who)).size).toBe(FORTY);
    for (const phone of [first, second]) for (const body of phone.sent.slice()) expect(await phone.replay(body)).toBe(200);
    expect(entriesIn(demo, roll.walk)).toEqual(kept);

    await first.page.getByRole('button', { name: /^This is right: .*, arrived$/ }).click();
    await expect.poll(() => figure(first.page, 'arrived').textContent()).toBe('40');
    await online(second);
    await expect.poll(() => figure(second.page, 'arrived').textContent()).toBe('40');
  });
});

async function notWalking(page: Page, name: string): Promise<void> {
  await page.getByRole('button', { name: `More: ${name}`, exact: true }).click();
  await page.getByRole('button', { name: `Not walking: ${name}`, exact: true }).click();
}

async function online({ page }: Phone): Promise<void> {
  await page.context().setOffline(false);
  await page.evaluate("dispatchEvent(new Event('online'))");
  await sentLine(page).filter({ hasText: 'All sent' }).waitFor();
}
