import { describe, expect, it } from 'vitest';
import { texts } from '../../server/db/schema/index.js';
import { type TextKind, textHash, textInForce } from '../../server/texts/store.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { Browser } from '../support/browser.js';

const HOUR_MS = 60 * 60 * 1000;

function lay(site: TestSite, kind: TextKind, version: number, body: string): void {
  site.db.write((tx) =>
    tx
      .insert(texts)
      .values({ kind, version, body, sha256: textHash(body), createdAt: NOON + HOUR_MS })
      .run(),
  );
}

describe('what anyone reads', () => {
  it('is the newest version of rules, waiver and cautions, with its number and since when', async () => {
    const site = await openSite();
    const browser = new Browser(site.app);
    expect((await browser.get('/rules')).text).toContain('<strong>No headphones</strong>');
    expect((await browser.get('/waiver')).text).toContain('lawyer');
    expect((await browser.get('/cautions')).text).toContain('<strong>Drink to thirst</strong>');
    const body = 'Walk <b>slowly</b>.';
    lay(site, 'rules', 2, body);
    const { text } = await browser.get('/rules');
    expect(text).toContain('Walk &lt;b&gt;slowly&lt;/b&gt;.');
    expect(text).toContain('In force now: version 2');
    expect(text).toMatch(/In force since <time datetime="2026-11-25T13:00:00.000Z">Wed, Nov 25, 2026, 8:00.AM EST<\/time>/);
    expect(textInForce(site.db.q, 'rules')).toMatchObject({ version: 2, body, sha256: textHash(body) });
    expect(textInForce(site.db.q, 'waiver')).toMatchObject({ version: 1 });
  });

  it('is any version that someone agreed to or signed, with its dates and, of the waiver, its hash', async () => {
    const site = await openSite();
    const browser = new Browser(site.app);
    const first = textInForce(site.db.q, 'waiver');
    lay(site, 'waiver', 2, 'I walk at my own risk.');
    expect((await browser.get('/waiver')).text).toContain(textHash('I walk at my own risk.'));
    const { status, text } = await browser.get('/waiver/1');
    expect(status).toBe(200);
    expect(text).toContain(first.sha256);
    expect(text).toContain('Version 1, no longer in force');
    expect(text).toMatch(/from <time[^>]*>Wed, Nov 25, 2026, 7:00.AM EST<\/time> to <time[^>]*>Wed, Nov 25, 2026, 8:00.AM EST<\/time>/);
    expect(text).toContain('<meta name="robots" content="noindex">');
    expect((await browser.get('/waiver/2')).text).toContain('In force now: version 2');
    expect((await browser.get('/rules/1')).text).toContain('In force now: version 1');
    for (const path of ['/waiver/3', '/waiver/0', '/waiver/1e0', '/rules/x', '/rules/99999999999999999999'])
      expect([path, (await browser.get(path)).status]).toEqual([path, 404]);
  });
});
