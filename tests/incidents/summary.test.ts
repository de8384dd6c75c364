import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type Counted, FEW, summarise } from '../../server/incidents/summary.js';
import { type IncidentKind, KINDS } from '../../server/incidents/words.js';
import { GATHER, HOUR_MS, incidentFields, stage } from '../day/care-stage.js';

/** A page's words. */
const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

it('counts by kind, month and area without names, marks what is few, and prints as CSV', async () => {
  const on = await stage();
  on.site.clock.now = GATHER + 2 * HOUR_MS;
  const write = (fields: Record<string, string>) => on.cast.browser('leader').post(on.path('incidents/new'), incidentFields(fields));
  for (const mark of ['one', 'two', 'three'])
    await write({ postMark: `mark-of-number-${mark}`, who: on.ana, called: mark === 'one' ? 'yes' : 'no' });
  await write({ postMark: 'mark-of-number-four', kind: 'lost' });
  const { text } = await on.cast.browser('coordinator').get('/coordinate/incidents/summary?from=2026-12&until=2026-12');
  expect(plain(text)).toContain('Unwell from heat Written down: 3 Emergency services called: 1');
  expect(plain(text)).toContain('Lost, or missing for a time Written down: 1 few');
  for (const words of ['Ana Ferreira', 'dizzy', 'Lena']) expect(text.slice(text.indexOf('<main'))).not.toContain(words);
  const csv = await on.cast.browser('coordinator').get('/coordinate/incidents/summary.csv?from=2026-12&until=2026-12');
  expect(csv.headers['content-disposition']).toBe('attachment; filename="incidents-2026-12-2026-12.csv"');
  expect(csv.text.split('\r\n')).toEqual([
    'by,what,incidents,emergency services called',
    'all,All,4,1',
    'kind,Unwell from heat,3,1',
    'kind,"Lost, or missing for a time",1,0',
    'month,December 2026,4,1',
    'area,Lantern Hills,4,1',
    '',
  ]);
  const none = await on.cast.browser('coordinator').get('/coordinate/incidents/summary?from=2026-11&until=2026-11');
  expect(none.text).toContain('Nothing was written down in that time.');
  expect((await on.cast.browser('coordinator').get('/coordinate/incidents/summary?from=x&until=2099-99')).status).toBe(200);
});

it('counts each once in each table, whatever there is', () => {
  const counted = fc.record<Counted>({
    kind: fc.constantFrom(...(Object.keys(KINDS) as IncidentKind[]), null),
    called: fc.boolean(),
    month: fc.constantFrom('2026-11', '2026-12', '2027-01'),
    areaName: fc.constantFrom('A', 'B'),
  });
  fc.assert(
    fc.property(fc.array(counted), (all) => {
      const { all: sum, ...tables } = summarise(all, (month) => month);
      expect(sum.count).toBe(all.length);
      for (const rows of Object.values(tables)) {
        expect(rows.reduce((total, row) => total + row.count, 0)).toBe(all.length);
        expect(rows.reduce((total, row) => total + row.called, 0)).toBe(sum.called);
        for (const row of rows) expect(row.few).toBe(row.count < FEW);
      }
    }),
    { numRuns: 50 },
  );
});
