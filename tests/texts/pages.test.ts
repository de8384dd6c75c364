import { expect, it } from 'vitest';
import { texts } from '../../server/db/schema/index.js';
import { textHash, textInForce } from '../../server/texts/store.js';
import { openSite } from '../support/app.js';
import { Browser } from '../support/browser.js';

it('the rules and the waiver are public, in their newest version', async () => {
  const { app, services } = await openSite();
  const browser = new Browser(app);
  expect((await browser.get('/rules')).text).toContain('<strong>No headphones</strong>');
  expect((await browser.get('/waiver')).text).toContain('lawyer');
  const body = 'Walk <b>slowly</b>.';
  services.db.write((tx) =>
    tx
      .insert(texts)
      .values({ kind: 'rules', version: 2, body, sha256: textHash(body), createdAt: 1 })
      .run(),
  );
  expect((await browser.get('/rules')).text).toContain('Walk &lt;b&gt;slowly&lt;/b&gt;.');
  expect(textInForce(services.db.q, 'rules')).toMatchObject({ version: 2, body, sha256: textHash(body) });
  expect(textInForce(services.db.q, 'waiver')).toMatchObject({ version: 1 });
});
