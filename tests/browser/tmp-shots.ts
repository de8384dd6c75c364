import { openDemo } from './demo-site.js';
const demo = await openDemo();
const id = demo.db.raw.prepare('SELECT min(id) FROM walks WHERE series_id IS NOT NULL').pluck().get();
for (const [width, look] of [[390, 'light'], [1280, 'dark'], [1280, 'light'], [390, 'dark']] as const) {
  const page = await demo.open('leader', { viewport: { width, height: 900 }, colorScheme: look });
  const shot = (name: string) => page.screenshot({ path: `tests/browser/out/r-${name}-${width}-${look}.png`, fullPage: true });
  await page.goto(`/lead/walks/${id}/repeat`); await shot('dates');
  await page.locator('input[name=every][value="dates"]').check();
  const d = (n: number) => new Date(Date.now() + n * 864e5).toISOString().slice(0, 10);
  await page.fill('#dates', [d(-3), d(10), d(17), d(24), d(31), d(400)].join('\n'));
  await page.getByRole('button', { name: 'See the dates' }).click(); await shot('rows');
  await page.goto(`/lead/walks/${id}`); await page.locator('#series').scrollIntoViewIfNeeded(); await page.locator('#series').screenshot({ path: `tests/browser/out/r-series-${width}-${look}.png` });
  await page.goto(`/lead/walks/${id}/edit`);
  await page.locator('#notes').screenshot({ path: `tests/browser/out/r-ticks-${width}-${look}.png` });
  await page.locator('#scope').screenshot({ path: `tests/browser/out/r-scope-${width}-${look}.png` });
  await page.fill('#meetingPoint', 'North gate'); await page.fill('#bring', 'Hat');
  await page.locator('input[name=scope][value=later]').check();
  await page.getByRole('button', { name: 'See who will be told' }).click(); await shot('preview');
  await page.goto(`/lead/walks/${id}/cancel`); await shot('cancel');
  await page.context().close();
}
await demo.close();
