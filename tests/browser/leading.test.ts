import { afterAll, beforeAll, expect, it } from 'vitest';
import { type DemoSite, openDemo } from './demo-site.js';
import { fromApplyingToPosting } from './leading.js';

const PHONE = { viewport: { width: 390, height: 844 }, javaScriptEnabled: false };

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo();
});
afterAll(async () => {
  await demo.close();
});

it('from applying to the first posted walk, on a phone, without script', async () => {
  const [applicant, coordinator] = [await demo.open('nobody', PHONE), await demo.open('coordinator', PHONE)];
  const said: Record<string, string> = {};
  const seen = async (step: string, page: typeof applicant) => {
    said[step] = (await page.locator('main').textContent()) ?? '';
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(390);
  };
  await fromApplyingToPosting(demo, { email: 'ines@walkers.example', name: 'Ines Calloway', seen }, applicant, coordinator);
  expect(said.steps).toContain('Next: Read the handbook');
  expect(said['quiz not passed']).toMatch(/0 of 10 right[\s\S]*Read: /);
  expect(said['quiz passed']).toContain('10 of 10 right');
  expect(said['all steps done']).toContain('All your steps are done');
  expect(said.applications).toMatch(/Ines Calloway[\s\S]*?ready to approve/i);
  expect(said['a new leader']).toContain('first walk');
  expect(said['the first walk']).toContain('Millrace round');
  const posted = demo.db.raw
    .prepare(
      "SELECT count(*) FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id WHERE p.email = ? AND w.state = 'posted'",
    )
    .pluck()
    .get('ines@walkers.example');
  expect(posted).toBe(1);
});
