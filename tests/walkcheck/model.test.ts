import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { checkModel } from '../../server/walkcheck/model.js';
import { Views } from '../../server/web/render.js';
import { check, miles } from './around.js';

const items = check({ distanceMetres: miles(6), seenOn: '', surfaces: [], explained: { water: 'Carry "two" litres <each>' } });
const views = new Views(join(ROOT, 'views'));
const html = (model: ReturnType<typeof checkModel>) => views.render('parts/walk-check', { check: model });

describe('the check on a page', () => {
  it('counts in words, and what is explained apart', () => {
    expect(checkModel(items, { mendAt: '/lead/walks/1/edit' }).heading).toBe('One to mend, one explained, two to think about');
    expect(checkModel(check({ seenOn: '' }), { mendAt: '/lead/walks/1/edit' }).heading).toBe('Nothing to mend, one to think about');
    expect(checkModel([], { mendAt: '/lead/walks/1/edit' }).heading).toBe('Nothing to mend');
  });

  it('puts first what stands in the way', () => {
    const explainedFirst = check({ distanceMetres: miles(6), explained: { toilets: 'Café' } });
    expect(checkModel(explainedFirst, { mendAt: '/lead/walks/1/edit' }).mend.map((item) => `${item.word} ${item.key}`)).toEqual([
      'Mend water',
      'Explained toilets',
    ]);
  });

  it('links to the fields and takes reasons on the form', () => {
    const page = html(checkModel(items, { faults: { 'explain[toilets]': 'Keep this under 300 characters; it has 301.' } }));
    expect(page).toContain('href="#stops"');
    expect(page).toMatch(/<textarea id="explain-water" name="explain\[water\]"[^>]*>Carry &quot;two&quot; litres &lt;each&gt;<\/textarea>/);
    expect(page).toMatch(/<textarea id="explain-toilets"[^>]*aria-invalid="true"/);
    expect(page).toContain('id="explain-toilets-error">Keep this under 300');
    expect(page).not.toContain('explain-seen');
    expect(page).not.toContain('Reason given');
  });

  it('names every reason by what it is for', () => {
    const labels = checkModel(items).mend.map((item) => item.field?.label);
    expect(labels).toEqual(['Or say why the walk goes without toilets', 'Or say why the walk goes without water']);
  });

  it('only shows them elsewhere', () => {
    const page = html(checkModel(items, { mendAt: '/lead/walks/1/edit' }));
    expect(page).not.toContain('<textarea');
    expect(page).toContain('href="/lead/walks/1/edit#stops"');
    expect(page).toContain('<b>Reason given:</b> Carry &quot;two&quot; litres &lt;each&gt;');
    expect(page.match(/class="flag (danger|good|caution)">(Mend|Explained|Think)</g)).toHaveLength(4);
  });
});
