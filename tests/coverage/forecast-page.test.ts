import { beforeEach, describe, expect, it } from 'vitest';
import { excuse } from '../../server/commitment/change-store.js';
import { busyDates, leadsWhat } from '../../server/coverage/forecast-store.js';
import { saveAbout } from '../../server/joining/about-store.js';
import { CHICAGO, type CommitmentStage, openCommitment } from '../commitment/stage.js';
import type { Browser } from '../support/browser.js';
import { browserOf } from '../support/cast.js';

let stage: CommitmentStage;
let coordinator: Browser;

/** November 25, 2026, without a season: each of two areas should have two walks a month, and had been there a year before. */
beforeEach(async () => {
  stage = await openCommitment();
  stage.site.db.raw.exec('UPDATE areas SET created_at = created_at - 31536000000');
  coordinator = browserOf(stage.site, stage.coordinator);
});

/** The page's words, and the cells of its table by row. */
async function page(query = '?months=3') {
  const { text } = await coordinator.get(`/coordinate/forecast${query}`);
  const words = (html: string) =>
    html
      .replace(/<[^>]*>/g, ' ')
      .replace(/\s+/g, ' ')
      .trim();
  const rows = [...text.matchAll(/<tr><th scope="row">(.*?)<\/th>(.*?)<\/tr>/gs)].map(([, name = '', cells = '']) => [
    name,
    cells.split('</td>').slice(0, -1).map(words),
  ]);
  return { text: words(text), rows: Object.fromEntries(rows) as Record<string, string[]> };
}

describe('what promises will fill', () => {
  it('is the board as it is, where nothing is promised or all is posted', async () => {
    const nothing = ['0 of 2 no more promised', '0 of 2 no more promised', '0 of 2 no more promised'];
    expect((await page()).rows).toMatchObject({ 'Lantern Hills': nothing, 'East Fork': nothing });
    const lena = stage.leader('Lena Marsh', { month: '2026-12' });
    stage.walk(lena, '2026-12-05');
    stage.walk(lena, '2027-01-09');
    const { rows, text } = await page();
    expect(rows['Lantern Hills']).toEqual(['0 of 2 no more promised', '1 of 2 no more promised', '1 of 2 no more promised']);
    expect(text).toContain('Posted now 2 of 12 If all keep their promise 2 of 12 Likely 2 of 12');
    expect(text).toContain('Nothing that leaders promised in these months is left to be posted. No promise has run its month yet');
  });

  it('is more by what was promised and not posted, by as much as leaders have kept', async () => {
    // Promised three a month from June on, and led all of them up to October; two of November's.
    const lena = stage.leader('Lena Marsh', { month: '2026-06', pledge: 3 });
    for (const month of ['2026-06', '2026-07', '2026-08', '2026-09', '2026-10'])
      for (const day of ['06', '13', '20']) stage.walk(lena, `${month}-${day}`, CHICAGO);
    for (const day of ['07', '14']) stage.walk(lena, `2026-11-${day}`, CHICAGO);
    const { rows, text } = await page();
    // One in November, and two of three in each month after it: no more are missing in her area.
    expect(rows['Lantern Hills']).toEqual(['0 of 2 likely 1', '0 of 2 likely 2', '0 of 2 likely 2']);
    expect(rows['East Fork']).toEqual(['2 of 2', '0 of 2 no more promised', '0 of 2 no more promised']);
    expect(rows['All areas']?.[1]).toBe('0 of 4 likely 2');
    expect(text).toContain('Posted now 2 of 12 If all keep their promise 7 of 12 Likely 7 of 12');
    expect(text).toContain(
      '7 promised walks are not posted yet; 5 can go where one is missing. In the last twelve months, 100 % of 15 promised walks were led.',
    );
  });

  it('is a range where promises are not always kept, with what all would come to beside it', async () => {
    for (const name of ['Ana', 'Bo']) {
      const id = stage.leader(name, { month: '2026-01' });
      for (const month of ['03', '06', '09']) stage.walk(id, `2026-${month}-14`, { routeName: `${name} ${month}` });
    }
    const { rows, text } = await page();
    expect(rows['Lantern Hills']?.[1]).toBe('0 of 2 likely 0–1 2 if all keep');
    expect(text).toContain('30 % of 20 promised walks were led.');
    // Only what is likely to stay empty stands out.
    const { text: html } = await coordinator.get('/coordinate/forecast?months=3');
    expect([...html.matchAll(/<td class="none">/g)]).toHaveLength(3);
  });

  it('asks nothing of who is excused or stood down, and sends nobody where they do not lead', async () => {
    const lena = stage.leader('Lena Marsh', { month: '2026-12' });
    const { db } = stage.site;
    const december = async () => (await page()).rows['Lantern Hills']?.[1];
    expect(await december()).toContain('likely');
    db.write((tx) => excuse(tx, lena, { month: '2026-12', reason: 'Away' }, { by: lena, now: stage.site.clock.now }));
    expect(await december()).toBe('0 of 2 no more promised');
    expect((await page()).rows['Lantern Hills']?.[2]).toContain('1 if all keep');
    db.raw.prepare("UPDATE leaders SET state = 'stood_down' WHERE person_id = ?").run(lena);
    expect((await page()).rows['Lantern Hills']?.[2]).toBe('0 of 2 no more promised');
    db.raw.prepare("UPDATE leaders SET state = 'approved', area_id = 2 WHERE person_id = ?").run(lena);
    expect((await page()).rows['Lantern Hills']?.[2]).toBe('0 of 2 no more promised');
    expect((await page()).rows['East Fork']?.[2]).toContain('1 if all keep');
  });

  it('has three, six or twelve months from this one on, and says where none is asked', async () => {
    for (const [query, count] of [
      ['', 6],
      ['?months=12', 12],
      ['?months=99', 6],
      ['?months=3', 3],
    ] as const)
      expect((await page(query)).rows['East Fork']).toHaveLength(count);
    stage.site.db.raw.exec('UPDATE areas SET floor_walks = 0');
    expect((await page()).text).toContain('No area asks for a walk in these months.');
  });
});

it('knows what each approved leader leads, and on which days to come they are taken', () => {
  const { db, clock } = stage.site;
  const [lena, coe] = [stage.leader('Lena Marsh'), stage.leader('Coe Lindgren', { area: CHICAGO })];
  const gone = stage.leader('Gone Away');
  db.raw.prepare("UPDATE leaders SET state = 'stood_down' WHERE person_id = ?").run(gone);
  db.write((tx) => saveAbout(tx, lena, { days: [6, 7], longestMetres: 20_000, shortestMetres: 5000, otherAreas: [2] }));
  expect(leadsWhat(db.q)).toEqual([
    { personId: lena, homeAreaId: 1, areaIds: [2], days: [6, 7], shortestMetres: 5000, longestMetres: 20_000 },
    { personId: coe, homeAreaId: 2, areaIds: [], days: [], shortestMetres: null, longestMetres: null },
  ]);
  stage.walk(lena, '2026-12-05', {}, { coLeader: coe });
  stage.walk(lena, '2026-12-06', {}, { state: 'draft' });
  stage.walk(lena, '2026-11-21');
  stage.cancel(stage.walk(lena, '2026-12-12'), 'other');
  expect(busyDates(db.q, clock.now)).toEqual(new Map([lena, coe].map((id) => [id, new Set(['2026-12-05'])])));
});
