import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** WCAG 2.2 AA, as axe names the rules. */
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** What axe finds wrong with a page that runs scripts. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(source);
  const found = (await page.evaluate(`axe.run(document, { runOnly: ${JSON.stringify(RULES)}, resultTypes: ['violations'] })`)) as {
    violations: { id: string; nodes: { html: string }[] }[];
  };
  return found.violations.map((one) => `${one.id}: ${one.nodes[0]?.html.slice(0, 160)}`);
}
