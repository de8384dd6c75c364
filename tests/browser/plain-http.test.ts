import { afterAll, beforeAll, expect, it } from 'vitest';
import { type DemoSite, openDemo } from './demo-site.js';

/** A name that is not loopback: over plain http browsers then say nothing of where a form came from but its origin. */
const HOST = 'walks.example';

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo(HOST);
});
afterAll(async () => {
  await demo.close();
});

it('forms work over plain http, on the private page too', async () => {
  const page = await demo.open('nobody');
  await page.goto('/sign-in');
  await page.fill('#email', 'ana@walkers.example');
  await page.locator('main button').click();
  expect(page.url()).toContain('/sign-in?sent=1');

  const signUp = demo.db.raw
    .prepare(
      "SELECT s.id FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE w.state = 'posted' AND w.gather_at > ? AND s.state = 'confirmed' LIMIT 1",
    )
    .pluck()
    .get(Date.now()) as number;
  const { signUpToken } = await import('../../server/signups/link.js');
  const path = `/sign-ups/${signUpToken(demo.services.sealer, signUp)}`;
  await page.goto(path);
  const answer = await page.evaluate(`fetch('${path}/withdraw', { method: 'POST' }).then((answer) => answer.status)`);
  expect(answer).toBe(200);
  expect(demo.db.raw.prepare('SELECT state FROM sign_ups WHERE id = ?').pluck().get(signUp)).toBe('withdrawn');
});
