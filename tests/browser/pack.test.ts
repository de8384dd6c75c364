import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { keepContact } from '../../server/contacts/sealed.js';
import { partyMembers, signUps } from '../../server/db/schema/index.js';
import { textInForce } from '../../server/texts/store.js';
import { type DemoSite, openDemo } from './demo-site.js';

const HOUR_MS = 3_600_000;
/** What is left of a sheet within the margins, in CSS pixels: 96 to the inch. */
const MM = 96 / 25.4;
const SHEETS = { A4: { width: 210 * MM, height: 297 * MM }, Letter: { width: 816, height: 1056 } } as const;
const MARGIN = 12 * MM;
type Sheet = keyof typeof SHEETS;

let demo: DemoSite;
let walk: number;

beforeAll(async () => {
  demo = await openDemo();
  walk = demo.db.raw
    .prepare(
      `SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
       WHERE p.email = 'leader@waymeet.example' AND w.state = 'posted' AND w.gather_at > ? AND w.route_id IS NOT NULL
       ORDER BY json_array_length(w.stops) DESC LIMIT 1`,
    )
    .pluck()
    .get(Date.now()) as number;
  const soon = Date.now() + HOUR_MS;
  demo.db.raw.prepare('UPDATE walks SET gather_at = ?, set_off_at = ? WHERE id = ?').run(soon, soon + HOUR_MS / 4, walk);
});
afterAll(async () => {
  await demo.close();
});

const LONG = {
  adult: 'Wilhelmina-Constance Featherstonehaugh-Cholmondeley van der Merwe of Lantern Hills',
  minor: 'BARTHOLOMEWMAXIMILIANFEATHERSTONEHAUGHCHOLMONDELEYVANDERMERWE',
  contact: 'Ferdinand Featherstonehaugh-Cholmondeley van der Merwe',
  note: `Carries an inhaler in the left pocket. ${'Allergic to bee stings and penicillin. '.repeat(3)}`,
};
const SHORT = { adult: 'Ana Ferreira', minor: 'Kim Ferreira', contact: 'Rui Ferreira', note: 'inhaler' };

/** Puts so many people on the walk, in parties of an adult and a minor, in place of whoever was. */
function layPeople(count: number, words: typeof LONG): void {
  const { db, services } = demo;
  db.raw.prepare("UPDATE sign_ups SET state = 'withdrawn' WHERE walk_id = ?").run(walk);
  db.write((tx) => {
    const now = services.now();
    for (let party = 0; party < count / 2; party++) {
      const mark = services.secret();
      const phone = { phone: '+12025550123', phoneTyped: '(202) 555-0123' };
      const agreed = { rulesTextId: textInForce(tx, 'rules').id, rulesAgreedAt: now, createdAt: now };
      const booked = {
        walkId: walk,
        tokenHash: `hash ${mark}`,
        postMark: `mark ${mark}`,
        name: words.adult,
        email: `${party}@walkers.example`,
      };
      const signUp = tx
        .insert(signUps)
        .values({ ...booked, ...phone, ...agreed, state: 'confirmed', partySize: 2 })
        .returning()
        .get();
      const member = (name: string, guardianId: number | null) =>
        tx
          .insert(partyMembers)
          .values({ signUpId: signUp.id, name, minor: guardianId !== null, guardianId })
          .returning()
          .get().id;
      const adult = member(words.adult, null);
      for (const id of [adult, member(words.minor, adult)])
        keepContact(tx, services.sealer, id, { name: words.contact, relation: 'brother', ...phone, note: words.note }, now);
    }
  });
}

/** The pack with contacts, on a page as wide as what a sheet leaves. */
async function opened(sheet: Sheet, parts: string[] = []) {
  const page = await demo.open('leader', { viewport: { width: Math.floor(SHEETS[sheet].width - 2 * MARGIN), height: 900 } });
  const query = parts.map((part) => `part=${part}`).join('&');
  await page.goto(`/lead/walks/${walk}/pack?${query}`);
  await page.fill('#blank', '1');
  await page.getByRole('button', { name: 'Make it with emergency contacts' }).click();
  await page.waitForURL('**/pack/contacts');
  return page;
}

interface Mark {
  row: number;
  /** Which part of the pack the row is in. */
  part: number;
  edge: 'top' | 'end';
  page: number;
  left: number;
  right: number;
}

/**
 * Prints a page to PDF, with a link of its own at the top and at the end of each row that may not be split. Chromium writes links as
 * plain text, with the sheet they came to be on: so the PDF itself says on which sheet each row begins and ends.
 */
async function printed(sheet: Sheet, parts: string[]): Promise<{ pages: number; rows: number; marks: Mark[]; out: string[] }> {
  const page = await opened(sheet, parts);
  const out = await overflowing(page);
  const rows = await page.evaluate(`(() => {
    const rows = [...document.querySelectorAll('.pack tbody tr, .pack .card, .pack .steps li, .pack dl > div')].filter((row) => row.closest('.paper') === null);
    const parts = [...document.querySelectorAll('.part')];
    rows.forEach((row, index) => {
      const cell = row.matches('tr') ? row.lastElementChild : row;
      for (const edge of ['top', 'end']) {
        const link = document.createElement('a');
        link.href = 'https://row.example/' + index + '/' + parts.indexOf(row.closest('.part')) + '/' + edge;
        link.textContent = '.';
        Object.assign(link.style, { position: 'absolute', right: '0', fontSize: '4px', lineHeight: '4px', [edge === 'top' ? 'top' : 'bottom']: '2px' });
        cell.style.position = 'relative';
        cell.append(link);
      }
    });
    return rows.length;
  })()`);
  const pdf = (await page.pdf({ format: sheet })).toString('latin1');
  await page.context().close();
  return { ...readPdf(pdf), rows: Number(rows), out };
}

/** The sheets of a PDF as Chromium writes it, and the marks on each. */
function readPdf(pdf: string): { pages: number; marks: Mark[] } {
  const objects = new Map([...pdf.matchAll(/(?:^|\n)(\d+) 0 obj\n(.*?)\nendobj/gs)].map((found) => [found[1] ?? '', found[2] ?? '']));
  const pages = [...objects.values()].filter((object) => /\/Type \/Page\b/.test(object));
  const marks = pages.flatMap((object, page) =>
    [...(/\/Annots \[(.*?)\]/s.exec(object)?.[1] ?? '').matchAll(/(\d+) 0 R/g)].flatMap(([, id = '']) => {
      const link = objects.get(id) ?? '';
      const uri = /row\.example\/(\d+)\/(\d+)\/(top|end)/.exec(link);
      const rect = /\/Rect \[([\d.\- ]+)\]/.exec(link)?.[1]?.trim().split(/\s+/).map(Number);
      if (!uri || !rect) return [];
      return [
        { row: Number(uri[1]), part: Number(uri[2]), edge: uri[3] as Mark['edge'], page, left: rect[0] ?? -1, right: rect[2] ?? 1e9 },
      ];
    }),
  );
  return { pages: pages.length, marks };
}

/** What hangs out of its sheet, its column or its card, in words. */
async function overflowing(page: Page): Promise<string[]> {
  await page.emulateMedia({ media: 'print' });
  const found = (await page.evaluate(`(() => {
    const wide = document.documentElement.clientWidth;
    const inPack = [...document.querySelectorAll('.pack *')].filter((one) => !one.closest('svg defs, .hidden') && one.getClientRects().length > 0);
    const out = inPack.filter((one) => { const box = one.getBoundingClientRect(); return box.right > wide + 0.5 || box.left < -0.5; });
    const full = inPack.filter((one) => one.matches('td, th, .face, dd') && one.scrollWidth > one.clientWidth + 1);
    const high = inPack.filter((one) => one.matches('.face') && one.scrollHeight > one.clientHeight + 1);
    return [...out, ...full, ...high].map((one) => one.outerHTML.slice(0, 120));
  })()`)) as string[];
  return found;
}

it.each([
  ['eight people', 'A4', 8, SHORT, 8],
  ['eight people', 'Letter', 8, SHORT, 9],
  ['sixty people', 'Letter', 60, SHORT, 16],
  ['eight people of long names', 'A4', 8, LONG, 10],
] as const)(
  'of %s on %s no row, card or line of a form is split, and nothing is wider than the sheet',
  async (_, sheet, count, words, sheets) => {
    layPeople(count, words);
    const { pages, rows, marks, out } = await printed(sheet, ['sheet', 'list', 'briefing', 'headcount', 'way', 'emergency', 'incident']);
    expect(marks).toHaveLength(2 * rows);
    const split = marks.filter(({ row, page }) => marks.some((other) => other.row === row && other.page !== page));
    expect(split).toEqual([]);
    // Each part begins a sheet: what is passed round never carries the leader's list.
    const mixed = marks.filter(({ part, page }) => marks.some((other) => other.page === page && other.part !== part));
    expect(mixed).toEqual([]);
    // Points, 72 to the inch.
    const right = ((SHEETS[sheet].width - MARGIN) * 72) / 96;
    expect(marks.filter((mark) => mark.left < 0 || mark.right > right + 1)).toEqual([]);
    // The words of a date and a clock may move a line: one sheet more or less.
    expect([sheets - 1, sheets, sheets + 1]).toContain(pages);
    expect(out).toEqual([]);
  },
);

it('the incident form and each waiver are one sheet', async () => {
  layPeople(2, { ...SHORT, adult: 'Bo Falk' });
  const pages = async (...parts: string[]) => (await printed('Letter', parts)).pages;
  expect(await pages('list', 'incident')).toBe(2);
  // Two people who have yet to sign, and a blank one: the waiver is one sheet.
  expect(await pages('list', 'waivers')).toBe(4);
});

it('cards hold whatever the group says, every word of it', async () => {
  const shouting = `- **STAY TOGETHER.** ${'WE MUST ALL WALK IN WIDE MMM WWW COLUMNS. '.repeat(25)}`;
  const body = [shouting, 'x'.repeat(900), '靴を履いて、水を飲んで。'.repeat(60), '- Count.\n'.repeat(40)].join('\n\n');
  demo.db.raw.prepare("INSERT INTO texts (kind, version, body, sha256, created_at) VALUES ('briefing', 99, ?, 'x', 0)").run(body);
  demo.db.raw
    .prepare('UPDATE walks SET route_name = ? WHERE id = ?')
    .run('Three lamps ridge by the long way round over both of the passes and back again', walk);
  expect((await printed('Letter', ['briefing', 'headcount'])).out).toEqual([]);
});
