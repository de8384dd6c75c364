import { parse } from 'csv-parse/sync';
import { beforeEach, describe, expect, it } from 'vitest';
import { excuse } from '../../server/commitment/change-store.js';
import { csvOf } from '../../server/web/csv.js';
import type { Browser } from '../support/browser.js';
import { browserOf } from '../support/cast.js';
import { CHICAGO, type CommitmentStage, DAY, openCommitment } from './stage.js';

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
    expect(plain(short)).toContain('December 2026: post one before it begins.');
    expect(short).toContain('href="/lead/walks/new?area&#x3D;lantern-hills&amp;date&#x3D;2026-12-05"');
    stage.walk(lena, '2026-12-12');
    expect((await lead.get('/lead')).text).toContain("You're on course.");
  });

  it('names this month before the next, with its last day', async () => {
    expect(plain((await lead.get('/lead')).text)).toContain('November 2026: one to lead by Mon, Nov 30 .');
    stage.site.clock.now = Date.UTC(2026, 11, 1, 4, 59);
    // In New York it is still November.
    expect(plain((await lead.get('/lead')).text)).toContain('November 2026: one to lead');
    stage.site.clock.now += 60_000;
    expect(plain((await lead.get('/lead')).text)).toContain('December 2026: one to lead by Thu, Dec 31 .');
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

it('leaves out the months before the first that was asked of a leader, up to this one', async () => {
  const months = async (month: string) => {
    const { text } = await browserOf(stage.site, stage.leader(`New ${month}`, { month })).get('/lead');
    return [...text.matchAll(/<li class="(?:past)?"[^>]*><b>(\w+)<\/b>/g)].map((one) => one[1]);
  };
  const shown = await Promise.all(['2026-12', '2026-11', '2026-10', '2026-02'].map(months));
  expect(shown.map((one) => [one.length, one[0]])).toEqual([
    ...[
      [12, 'Nov'],
      [12, 'Nov'],
      [12, 'Oct'],
      [12, 'Jun'],
    ],
  ]);
});

it('says of one of several that one more is to lead, or to post', async () => {
  const bea = stage.leader('Bea Busy', { month: '2026-11', pledge: 2 });
  const page = async () => plain((await browserOf(stage.site, bea).get('/lead/commitment')).text);
  expect(await page()).toContain('November 2026: 2 to lead by Mon, Nov 30');
  stage.walk(bea, '2026-11-14');
  expect(await page()).toContain('November 2026: one more to lead by Mon, Nov 30');
  stage.walk(bea, '2026-11-28');
  stage.walk(bea, '2026-12-12');
  expect(await page()).toContain('December 2026: post one more before it begins.');
});

describe('a form of a commitment', () => {
  it('says what it has kept, and nothing that does not stand', async () => {
    const keep = async (form: string, fields: Record<string, string>) => {
      const { headers } = await lead.post(`/lead/commitment/${form}`, fields);
      const { text } = await lead.get(headers.location ?? '');
      return [headers.location, plain(/<div class="note good">(.*?)<\/div>/.exec(text)?.[1] ?? '').trim()];
    };
    const at = '/lead/commitment?saved=';
    expect(await keep('pledge', { walks: '2', from: '2026-12' })).toEqual([`${at}pledge`, 'Saved: 2 walks a month from December 2026.']);
    expect(await keep('excuse', { month: '2027-01', reason: 'Away' })).toEqual([
      `${at}excuse&of=2027-01`,
      'Saved: excused in January 2027.',
    ]);
    expect(await keep('excuse/back', { month: '2027-01' })).toEqual([
      `${at}back&of=2027-01`,
      'Saved: January 2027 is not excused any more.',
    ]);
    expect(await keep('mails', {})).toEqual([`${at}mails`, 'Saved: the monthly mail is off.']);
    for (const query of ['excuse&of=2027-01', 'back&of=x', 'nonsense', 'excuse'])
      expect((await lead.get(at + query)).text).not.toContain('Saved:');
  });

  it('offers no month that is excused already, and none where all are', async () => {
    const offered = async () => {
      const { text } = await lead.get('/lead/commitment');
      const from = text.indexOf('id="month"');
      return from < 0
        ? []
        : [...text.slice(from, text.indexOf('</select>', from)).matchAll(/value="([\d-]+)"( selected)?/g)].map(
            (one) => `${one[1]}${one[2] ?? ''}`,
          );
    };
    await lead.post('/lead/commitment/excuse', { month: '2026-12', reason: 'Away' });
    expect((await offered()).slice(0, 3)).toEqual(['2026-11', '2027-01 selected', '2027-02']);
    for (const month of await offered()) await lead.post('/lead/commitment/excuse', { month: month.slice(0, 7), reason: 'Away' });
    expect(await offered()).toEqual([]);
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
    expect(plain(await own())).toContain('December 2026: one to lead by Thu, Dec 31');
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
    expect([answer.status, answer.headers.location]).toEqual([303, `${at}?saved=pledge`]);
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

describe('the page of a leader who was stood down', () => {
  it('has no forms to change what they promised, and answers those of an old tab with itself', async () => {
    const page = `/coordinate/leaders/${lena}`;
    expect((await coordinate.get(page)).text).toContain(`action="${page}/pledge"`);
    await coordinate.post(`${page}/stand-down`);
    const { text } = await coordinate.get(page);
    expect(text).not.toMatch(/action="[^"]*\/(pledge|excuse)"/);
    const before = stage.site.db.raw.prepare('SELECT * FROM pledges').all();
    const answer = await coordinate.post(`${page}/pledge`, { walks: '9', from: '2026-12' });
    expect([answer.status, answer.headers.location]).toEqual([303, page]);
    expect(stage.site.db.raw.prepare('SELECT * FROM pledges').all()).toEqual(before);
  });

  it('is where the reload of a refused form leads', async () => {
    for (const action of ['pledge', 'excuse', 'excuse/back', 'back', 'stand-down'])
      expect((await coordinate.get(`/coordinate/leaders/${lena}/${action}`)).headers.location).toBe(`/coordinate/leaders/${lena}`);
    for (const action of ['pledge', 'excuse', 'excuse/back', 'mails'])
      expect((await lead.get(`/lead/commitment/${action}`)).headers.location).toBe('/lead/commitment');
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
    // May to April: walks of those pledged, and how many leaders are short: nobody makes up for another.
    expect(foot).toMatch(/East Fork 1 of 1 1 of 1 1 of 1 1 of 1 0 of 1 1 leader to post/);
    expect(foot).toContain('All areas 0 of 1 1 leader short 0 of 1 1 leader short 1 of 1 1 leader short 2 of 5 2 leaders short');
  });

  it('pages over many leaders, each page in the order of all', async () => {
    for (let index = 0; index < 45; index += 1) stage.leader(`Zed ${String(index).padStart(2, '0')}`, { month: '2026-12' });
    const first = (await coordinate.get('/coordinate/leaders?sort=name')).text;
    const second = (await coordinate.get('/coordinate/leaders?sort=name&page=2')).text;
    const { text: widest } = await coordinate.get('/coordinate/leaders?sort=name&months=24');
    expect(Buffer.byteLength(widest)).toBeLessThan(150_000);
    expect(first).toContain('Page 1 of 2');
    expect([...names(first), ...names(second)]).toEqual([...names(first), ...names(second)].sort());
    expect(new Set([...names(first), ...names(second)]).size).toBe(49);
    expect(names((await coordinate.get('/coordinate/leaders?sort=name&page=99')).text)).toEqual(names(second));
  });

  it('marks whose posting is closed or soon will be, and nobody else', async () => {
    const due = (name: string, at: number) =>
      stage.site.db.raw
        .prepare('UPDATE leaders SET agreement_due_at = ? WHERE person_id = (SELECT id FROM people WHERE name = ?)')
        .run(at, name);
    const { now } = stage.site.clock;
    due('Abe Empty', now);
    due('Bea Busy', now + 31 * DAY);
    due('Sue Short', now + 30 * DAY);
    const { text } = await coordinate.get('/coordinate/leaders?sort=name');
    const marks = [...text.matchAll(/<th scope="row"><a [^>]*>([^<]+)<\/a>.*?<\/small>(?:<small class="flag caution">([^<]+))?/g)];
    expect(marks.map((one) => [one[1], one[2]])).toEqual([
      ['Abe Empty', 'posting closed'],
      ['Bea Busy', undefined],
      ['Lena Marsh', 'agreement due Fri,\u00a0Dec\u00a025'],
      ['Sue Short', 'agreement due Fri,\u00a0Dec\u00a025'],
    ]);
    expect((await coordinate.get(`/coordinate/leaders/${lena}`)).text).toContain('Agreement: never signed, due Fri, Dec 25, 2026.');
    due('Lena Marsh', now);
    const own = (await coordinate.get(`/coordinate/leaders/${lena}`)).text;
    expect(own).toContain('Agreement: never signed, posting closed since Wed, Nov 25, 2026.');
    expect(own).toContain('<a href="mailto:lena.marsh@waymeet.example">');
  });

  it('is saved as CSV, formulas made harmless and phones left alone', async () => {
    stage.leader('=HYPERLINK("x"), "Al"', { month: '2026-11' });
    stage.site.db.write((tx) => excuse(tx, lena, { month: '2026-11', reason: 'Away' }, { by: lena, now: 0 }));
    const answer = await coordinate.get('/coordinate/leaders.csv?sort=name');
    expect(answer.headers['content-type']).toContain('text/csv; charset=utf-8');
    expect(answer.headers['content-disposition']).toBe('attachment; filename="commitment-2026-05-2027-04.csv"');
    const rows = parse(answer.text, { record_delimiter: '\r\n' }) as string[][];
    expect(rows[0]?.slice(0, 10)).toEqual([
      'Leader',
      'Area',
      'E-mail',
      'Phone',
      'Leads since',
      'Agreement signed',
      'Agreement due',
      '2026-05 walks',
      '2026-05 pledged',
      '2026-05 state',
    ]);
    expect(rows.map((row) => row[0])).toContain(`'=HYPERLINK("x"), "Al"`);
    const own = rows.find((row) => row[0] === 'Lena Marsh');
    expect(own?.slice(3, 10)).toEqual(['+12025550110', '2026-06', '', '2026-12-25', '0', '', 'no promise yet']);
    expect(own?.slice(25, 28)).toEqual(['0', '1', 'excused']);
  });
});

it('CSV guards every sign that begins a formula, and nothing else', () => {
  const cells = ['=1', '+1', '-1', '@a', '\tb', '\rc', 'a=1', "'x", 'a "b"', 'a,b', 'a\nb'];
  expect(csvOf([cells, [1, null, { phone: '+44 20' }, -2]])).toBe(
    `'=1,'+1,'-1,'@a,'\tb,"'\rc",a=1,'x,"a ""b""","a,b","a\nb"\r\n1,,+44 20,-2\r\n`,
  );
});
