import { parse } from 'csv-parse/sync';
import { beforeEach, describe, expect, it } from 'vitest';
import { excuse } from '../../server/commitment/change-store.js';
import { csvOf } from '../../server/web/csv.js';
import type { Browser } from '../support/browser.js';
import { browserOf } from '../support/cast.js';
import { CHICAGO, type CommitmentStage, openCommitment } from './stage.js';

let stage: CommitmentStage;
let lena: number;
let lead: Browser;
let coordinate: Browser;
beforeEach(async () => {
  stage = await openCommitment();
  lena = stage.leader('Lena Marsh', { month: '2026-06' });
  lead = browserOf(stage.site, lena);
  coordinate = browserOf(stage.site, stage.coordinator);
});

const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

describe("a leader's page", () => {
  it('says in one sentence what is due, by when, and leads to a filled form; in a good month that they are on course', async () => {
    stage.walk(lena, '2026-11-14');
    const short = (await lead.get('/lead')).text;
    expect(plain(short)).toContain('December 2026: 1 walk still to post. Post it by Mon, Nov 30 .');
    expect(short).toContain('href="/lead/walks/new?area&#x3D;lantern-hills&amp;date&#x3D;2026-12-05"');
    stage.walk(lena, '2026-12-12');
    expect((await lead.get('/lead')).text).toContain("You're on course.");
  });

  it('names this month before the next, with its last day', async () => {
    expect(plain((await lead.get('/lead')).text)).toContain('November 2026: 1 walk still to post. Post it by Mon, Nov 30 .');
    stage.site.clock.now = Date.UTC(2026, 11, 1, 4, 59);
    // In New York it is still November.
    expect(plain((await lead.get('/lead')).text)).toContain('November 2026: 1 walk');
    stage.site.clock.now += 60_000;
    expect(plain((await lead.get('/lead')).text)).toContain('December 2026: 1 walk still to post. Post it by Thu, Dec 31 .');
  });

  it('shows twelve months, five of them behind; what is past and short is said quietly', async () => {
    const { text } = await lead.get('/lead');
    const list = text.slice(text.indexOf('<ol class="months'), text.indexOf('</ol>'));
    const months = [...list.matchAll(/<b>(\w+)<\/b> <span class="soft">(\d+)<\/span> <span class="state ([\w-]+)">([^<]+)/g)].map((one) =>
      one.slice(1).join(' '),
    );
    expect(months).toHaveLength(12);
    expect(months[0]).toBe('Jun 2026 short-plain short by 1');
    expect(months[5]).toBe('Nov 2026 short short by 1');
    expect(months[6]).toBe('Dec 2026 short 1 to post');
    expect(months[11]).toBe('May 2027 short-plain 1 to post');
  });
});

describe('a leader whose promise begins with the coming month', () => {
  it('is short of nothing before it has begun, to themself and on the grid', async () => {
    const nora = stage.leader('Nora Quist', { month: '2026-12' });
    const own = async () => (await browserOf(stage.site, nora).get('/lead')).text;
    const row = async () => /Nora Quist<\/a>[\s\S]*?<\/tr>/.exec((await coordinate.get('/coordinate/leaders')).text)?.[0] ?? '';
    stage.site.clock.now = Date.UTC(2026, 11, 1, 4, 59);
    expect(await own()).toContain('<span class="state short-plain">1 to post</span>');
    expect(await own()).not.toContain('class="state short"');
    expect(await own()).toContain("You're on course.");
    expect(await row()).not.toContain('class="state short"');
    stage.site.clock.now += 60_000;
    expect(plain(await own())).toContain('December 2026: 1 walk still to post. Post it by Thu, Dec 31 .');
    expect(await row()).toContain('<span class="state short">short by 1</span>');
  });
});

describe('changing a commitment', () => {
  const fields = (walks: string, from: string) => ({ walks, from });

  it('a leader raises from this month, lowers from the next, and touches no month that is over', async () => {
    const post = (walks: string, from: string) => lead.post('/lead/commitment/pledge', fields(walks, from));
    await lead.get('/lead/commitment');
    expect((await post('2', '2026-11')).status).toBe(303);
    const lower = await post('1', '2026-11');
    expect([lower.status, lower.text.includes('You can promise fewer walks from next month on.')]).toEqual([422, true]);
    expect(lower.text).toMatch(/<option value="2026-11" selected>/);
    expect((await post('1', '2026-12')).status).toBe(303);
    const over = await post('3', '2026-10');
    expect([over.status, over.text.includes('That month is over.')]).toEqual([422, true]);
    for (const walks of ['', '0', '32', '1.5', 'two']) {
      const refused = await post(walks, '2026-12');
      expect([walks, refused.status, refused.text.includes('Type how many walks a month: 1 to 31.')]).toEqual([walks, 422, true]);
      expect(refused.text).toContain('<title>Error:');
    }
    expect((await post('1', '2028-11')).status).toBe(303);
    expect((await post('1', '2028-12')).text).toContain('Choose a month within two years.');
    expect(stage.month(lena, '2026-11')).toBe('short by 2 0+0');
    expect(stage.month(lena, '2026-10')).toBe('short by 1 0+0');
  });

  it('a coordinator lowers from this month on, and the page says who did, and when', async () => {
    const at = `/coordinate/leaders/${lena}`;
    await coordinate.get(at);
    await lead.get('/lead/commitment');
    await lead.post('/lead/commitment/pledge', fields('4', '2026-11'));
    const answer = await coordinate.post(`${at}/pledge`, fields('2', '2026-11'));
    expect([answer.status, answer.headers.location]).toEqual([303, at]);
    expect((await coordinate.post(`${at}/pledge`, fields('2', '2026-10'))).status).toBe(422);
    const shown = plain((await coordinate.get(at)).text);
    expect(shown).toContain('Wed, Nov 25, 2026 pledge: 2 walks a month from November 2026 by Cora Danner');
    expect(shown).toContain('pledge: 4 walks a month from November 2026 by Lena Marsh');
    expect((await coordinate.post(`${at}/pledge`, fields('2', '2026-11'))).status).toBe(303);
    const count = stage.site.db.raw.prepare("SELECT count(*) FROM audit_log WHERE action = 'changed a pledge'").pluck().get();
    expect(count).toBe(3);
  });

  it('a leader is excused this month and later, with a reason, and takes it back; a coordinator reads why, and excuses any month', async () => {
    const at = `/coordinate/leaders/${lena}`;
    const ask = (month: string, reason: string) => lead.post('/lead/commitment/excuse', { month, reason });
    await lead.get('/lead/commitment');
    await coordinate.get(at);
    expect((await ask('2026-11', 'Wedding')).status).toBe(303);
    expect(stage.month(lena, '2026-11')).toBe('excused 0+0');
    const refused = await ask('2026-10', 'Wedding <b>');
    expect([refused.status, refused.text.includes('value="Wedding &lt;b&gt;"')]).toEqual([422, true]);
    expect((await ask('2026-12', '')).text).toContain('Say why in a few words');
    expect((await ask('2026-12', 'a'.repeat(201))).status).toBe(422);
    const shown = plain((await coordinate.get(at)).text);
    expect(shown).toContain('November 2026 : Wedding Lena Marsh, Wed, Nov 25');
    expect((await coordinate.post(`${at}/excuse`, { month: '2026-08', reason: 'Ill' })).status).toBe(303);
    expect(stage.month(lena, '2026-08')).toBe('excused 0+0');
    expect((await coordinate.post(`${at}/excuse`, { month: '2026-05', reason: 'Ill' })).text).toContain(
      'They did not lead yet in that month.',
    );
    await lead.post('/lead/commitment/excuse/back', { month: '2026-08' });
    expect(stage.month(lena, '2026-08')).toBe('excused 0+0');
    for (const _ of [1, 2]) expect((await lead.post('/lead/commitment/excuse/back', { month: '2026-11' })).status).toBe(303);
    expect(stage.month(lena, '2026-11')).toBe('short by 1 0+0');
    await coordinate.post(`${at}/excuse/back`, { month: '2026-08' });
    expect(stage.month(lena, '2026-08')).toBe('short by 1 0+0');
    const log = stage.site.db.raw.prepare('SELECT json_group_array(detail) FROM audit_log').pluck().get() as string;
    expect(log).not.toContain('Wedding');
  });

  it('a coordinator stands them down and brings them back, in the same month as if nothing had been; nobody who is not there', async () => {
    const at = `/coordinate/leaders/${lena}`;
    await coordinate.get(at);
    await coordinate.post(`${at}/stand-down`);
    expect((await coordinate.get(at)).text).toContain('Bring them back');
    expect((await lead.get('/lead')).status).toBe(303);
    for (const _ of [1, 2]) expect((await coordinate.post(`${at}/back`)).headers.location).toBe(at);
    expect(['2026-11', '2026-12'].map((month) => stage.month(lena, month))).toEqual(['short by 1 0+0', 'short by 1 0+0']);
    stage.site.db.raw.prepare('UPDATE people SET disabled_at = 1 WHERE id = ?').run(lena);
    expect((await coordinate.post(`${at}/back`)).status).toBe(409);
    for (const path of ['/coordinate/leaders/999', '/coordinate/leaders/1', '/coordinate/leaders/x'])
      expect([path, (await coordinate.get(path)).status]).toEqual([path, 404]);
  });

  it('shows the walks behind a month with part and state', async () => {
    const coe = stage.leader('Coe Lindgren');
    stage.walk(lena, '2026-11-07', { routeName: 'Ridge' }, { coLeader: coe });
    stage.cancel(stage.walk(lena, '2026-11-28', { routeName: 'Weir' }), 'safety');
    stage.cancel(stage.walk(lena, '2026-11-29', { routeName: 'Mill' }), 'other');
    stage.walk(lena, '2026-11-30', { routeName: 'Draft' }, { state: 'draft' });
    const { text } = await coordinate.get(`/coordinate/leaders/${lena}?month=2026-11`);
    const table = text.slice(text.indexOf('<h2>Walks of November 2026'), text.indexOf('</table>'));
    const rows = [...table.matchAll(/<th scope="row"><a[^>]*>(\w+)<[\s\S]*?<td>([\w-]+)<\/td><td>([^<]+)/g)].map((one) => one.slice(1));
    expect(rows).toEqual([
      ['Ridge', 'leader', 'led'],
      ['Weir', 'leader', 'cancelled for safety: counts'],
      ['Mill', 'leader', 'cancelled: does not count'],
      ['Draft', 'leader', 'draft: does not count yet'],
    ]);
    expect((await coordinate.get(`/coordinate/leaders/${coe}?month=2026-11`)).text).toContain('<td>co-leader</td>');
    expect((await coordinate.get(`/coordinate/leaders/${lena}?month=2026-13`)).text).toContain('Walks of November 2026');
  });
});

describe('the grid', () => {
  const names = (text: string) => [...text.matchAll(/<th scope="row"><a href="[^"]*">([^<]+)/g)].map((one) => one[1]);

  beforeEach(() => {
    // Short by two lately; nothing posted for December; on course; and one who was stood down.
    const bea = stage.leader('Bea Busy', { month: '2026-09', area: CHICAGO });
    for (const month of ['2026-09', '2026-10', '2026-11', '2026-12'])
      stage.walk(bea, `${month}-05`, { ...CHICAGO, routeName: `Loop ${month}` });
    const abe = stage.leader('Abe Empty', { month: '2026-09' });
    for (const month of ['2026-08', '2026-09', '2026-10']) stage.walk(abe, `${month}-05`);
    const sue = stage.leader('Sue Short', { month: '2026-09', pledge: 2 });
    stage.walk(sue, '2026-12-12');
    stage.walk(sue, '2026-12-13');
  });

  it('puts first who needs a word, then by name, area or how long they have led', async () => {
    const by = async (query: string) => names((await coordinate.get(`/coordinate/leaders${query}`)).text);
    expect(await by('')).toEqual(['Sue Short', 'Lena Marsh', 'Abe Empty', 'Bea Busy']);
    expect(await by('?sort=name')).toEqual(['Abe Empty', 'Bea Busy', 'Lena Marsh', 'Sue Short']);
    expect(await by('?sort=area')).toEqual(['Bea Busy', 'Abe Empty', 'Lena Marsh', 'Sue Short']);
    expect(await by('?sort=since')).toEqual(['Lena Marsh', 'Abe Empty', 'Bea Busy', 'Sue Short']);
    expect(await by('?area=east-fork')).toEqual(['Bea Busy']);
    expect(await by('?sort=nonsense&area=nowhere&months=7&from=x&page=0')).toEqual([]);
    await coordinate.get(`/coordinate/leaders/${lena}`);
    await coordinate.post(`/coordinate/leaders/${lena}/stand-down`);
    expect((await by('')).at(-1)).toBe('Lena Marsh');
  });

  it('shows twelve months or twenty-four, moved by the address, with totals at the foot', async () => {
    const heads = async (query: string) =>
      [...(await coordinate.get(`/coordinate/leaders${query}`)).text.matchAll(/<th scope="col"[^>]*>(\w+) <span class="soft">(\d+)/g)].map(
        (one) => `${one[1]} ${one[2]}`,
      );
    const usual = await heads('');
    expect([usual.length, usual[0], usual.at(-1)]).toEqual([12, 'May 2026', 'Apr 2027']);
    const long = await heads('?months=24&from=2025-01');
    expect([long.length, long[0], long.at(-1)]).toEqual([24, 'Jan 2025', 'Dec 2026']);
    const { text } = await coordinate.get('/coordinate/leaders');
    const foot = plain(text.slice(text.indexOf('<tfoot>'), text.indexOf('</tfoot>')));
    // May to April: walks of those pledged, and how many are short.
    expect(foot).toMatch(/East Fork 1 of 1 1 of 1 1 of 1 1 of 1 0 of 1 1 to post/);
    expect(foot).toContain('All areas 0 of 1 short by 1 0 of 1 short by 1 1 of 1 short by 1 2 of 5 short by 3');
  });

  it('pages over many leaders, each page in the order of all', async () => {
    for (let index = 0; index < 45; index += 1) stage.leader(`Zed ${String(index).padStart(2, '0')}`, { month: '2026-12' });
    const first = (await coordinate.get('/coordinate/leaders?sort=name')).text;
    const second = (await coordinate.get('/coordinate/leaders?sort=name&page=2')).text;
    expect(first).toContain('Page 1 of 2');
    expect([...names(first), ...names(second)]).toEqual([...names(first), ...names(second)].sort());
    expect(new Set([...names(first), ...names(second)]).size).toBe(49);
    expect(names((await coordinate.get('/coordinate/leaders?sort=name&page=99')).text)).toEqual(names(second));
  });

  it('is saved as CSV, formulas made harmless and phones left alone', async () => {
    stage.leader('=HYPERLINK("x"), "Al"', { month: '2026-11' });
    stage.site.db.write((tx) => excuse(tx, lena, { month: '2026-11', reason: 'Away' }, { by: lena, now: 0 }));
    const answer = await coordinate.get('/coordinate/leaders.csv?sort=name');
    expect(answer.headers['content-type']).toContain('text/csv; charset=utf-8');
    expect(answer.headers['content-disposition']).toBe('attachment; filename="commitment-2026-05-2027-04.csv"');
    const rows = parse(answer.text, { record_delimiter: '\r\n' }) as string[][];
    expect(rows[0]?.slice(0, 8)).toEqual([
      'Leader',
      'Area',
      'E-mail',
      'Phone',
      'Leads since',
      '2026-05 walks',
      '2026-05 pledged',
      '2026-05 state',
    ]);
    expect(rows.map((row) => row[0])).toContain(`'=HYPERLINK("x"), "Al"`);
    const own = rows.find((row) => row[0] === 'Lena Marsh');
    expect(own?.slice(3, 8)).toEqual(['+12025550110', '2026-06', '0', '', 'no promise yet']);
    expect(own?.slice(23, 26)).toEqual(['0', '1', 'excused']);
  });
});

it('CSV guards every sign that begins a formula, and nothing else', () => {
  const cells = ['=1', '+1', '-1', '@a', '\tb', '\rc', 'a=1', "'x", 'a "b"', 'a,b', 'a\nb'];
  expect(csvOf([cells, [1, null, { phone: '+44 20' }, -2]])).toBe(
    `'=1,'+1,'-1,'@a,'\tb,"'\rc",a=1,'x,"a ""b""","a,b","a\nb"\r\n1,,+44 20,-2\r\n`,
  );
});
