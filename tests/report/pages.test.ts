import { parse } from 'csv-parse/sync';
import { expect, it } from 'vitest';
import { saveSettings } from '../../server/settings/store.js';
import { browserOf } from '../support/cast.js';
import { openReport } from './stage.js';

const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

async function open() {
  const stage = await openReport();
  stage.site.clock.now = Date.UTC(2027, 3, 20, 12);
  const coordinator = browserOf(stage.site, stage.coordinator);
  return { ...stage, get: async (query = '') => plain((await coordinator.get(`/coordinate/report${query}`)).text), coordinator };
}

it('shows the season in all, by area, by month and by both, and says what each figure counts', async () => {
  const { site, leader, walk, book, get } = await open();
  const { db } = site;
  db.write((tx) => saveSettings(tx, { eventName: 'Two Rivers Weekend', eventDay: '2027-06-12', eventDayMetres: 35_406 }));
  const id = walk(leader('Lena Marsh'), '2027-03-06', { distanceMetres: 16_093 });
  book(id, { email: 'ana@walkers.example', adults: 2, minors: 1 });
  const text = await get();
  expect(text).toContain('Report: February 2027 to June 2027');
  expect(text).toContain('the season of the Two Rivers Weekend, as it stands on Tue, Apr 20, 2027.');
  expect(text).toContain('Walks led 1 none cancelled People 3 1 under 18 Miles 10.0 Person-miles 30 First-timers 1 Leaders 1');
  expect(text).toContain('Lantern Hills 1 0 0 10.0 3 30 1 1 1 3.0');
  expect(text).toContain('East Fork 0 0 0 0 0 0 0 0 0 –');
  expect(text).toContain('March 2027 1 0 0 10.0 3 30 1 1 1 3.0');
  // By both: what is to come is blank, nothing where nothing was.
  expect(text).toContain(
    'People by area and month Area Feb 2027 Mar 2027 Apr 2027 May 2027 Jun 2027 In all East Fork 0 0 0 0 Lantern Hills 0 3 0 3 In all',
  );
  expect(text).toContain('First-timers E-mail addresses that came along');
});

it('says before the season what it shows, and where the season is', async () => {
  const { site, get } = await open();
  site.db.write((tx) => saveSettings(tx, { eventDay: '2027-09-11', eventDayMetres: 35_406 }));
  const text = await get();
  expect(text).toContain('The season begins in May 2027. Until then, these are the last twelve months.');
  expect(text).toContain('No walk was led or cancelled in these months.');
  expect(await get('?from=2027-05&months=5')).toContain('Report: May 2027 to September 2027');
});

it('names a month that could not be read', async () => {
  const { get } = await open();
  expect(await get('?from=soon&months=99')).toContain('That month could not be read, so it is left out. The number of months is 1 to 24');
});

it('gives a line an area and month for spreadsheets, without the months before an area was there', async () => {
  const { site, leader, walk, book, coordinator } = await open();
  site.db.raw.prepare("UPDATE areas SET name = '=East, Fork', created_at = ? WHERE slug = 'east-fork'").run(Date.UTC(2027, 3, 1, 12));
  book(walk(leader('Lena Marsh'), '2027-03-06', { distanceMetres: 8047 }), { email: 'ana@walkers.example' });
  const answer = await coordinator.get('/coordinate/report.csv?from=2027-03&months=2');
  expect(answer.headers['content-disposition']).toBe('attachment; filename="report-2027-03-2027-04.csv"');
  expect(parse(answer.text)).toEqual([
    [
      ...['Area', 'Month', 'Walks led', 'Cancelled for safety', 'Cancelled otherwise', 'Miles', 'People', 'Person-miles', 'Minors'],
      ...['First-timers', 'Leaders', 'Average party'],
    ],
    ["'=East, Fork", '2027-04', '0', '0', '0', '0', '0', '0', '0', '0', '0', ''],
    ['Lantern Hills', '2027-03', '1', '0', '0', '5', '1', '5', '0', '1', '1', '1'],
    ['Lantern Hills', '2027-04', '0', '0', '0', '0', '0', '0', '0', '0', '0', ''],
  ]);
});
