import { mkdirSync } from 'node:fs';
import { openDemo } from './tests/browser/demo-site.js';
import { keepEntries } from './server/day/store.js';
import { standing, byPerson, type Said, type Entry } from './server/day/ledger.js';

const OUT = 'tests/browser/out';
mkdirSync(OUT, { recursive: true });
const demo = await openDemo();
const raw = demo.db.raw;
const now = Date.now();
const lead = raw.prepare("SELECT id FROM people WHERE email = 'leader@waymeet.example'").get() as { id: number };
const co = raw.prepare("SELECT id FROM people WHERE id <> ? AND id IN (SELECT person_id FROM leaders WHERE state='approved') LIMIT 1").get(lead.id) as { id: number };
const walks = raw.prepare("SELECT id FROM walks WHERE state='posted' AND json_array_length(stops) >= 2 ORDER BY id DESC LIMIT 3").all() as { id: number }[];
const first = ['Ana', 'Bartholomew', 'Cal', 'Dee', 'Eli', 'Fay', 'Gus', 'Hal', 'Ivy', 'Jo'];
const last = ['Ferreira', 'Whitlock-Featherstonehaugh', 'Okafor', 'Lindqvist', 'Moreau', 'Reed', 'Birch', 'Ames', 'Marsh', 'Danner'];
function lay(walk: number, count: number, startedAgoMs: number) {
  raw.prepare("UPDATE sign_ups SET state='withdrawn' WHERE walk_id = ?").run(walk);
  raw.prepare('DELETE FROM walk_leaders WHERE walk_id = ?').run(walk);
  raw.prepare("INSERT INTO walk_leaders (walk_id, person_id, part) VALUES (?,?,'leader'),(?,?,'co-leader')").run(walk, lead.id, walk, co.id);
  raw.prepare('UPDATE walks SET gather_at = ?, set_off_at = ? WHERE id = ?').run(now - startedAgoMs - 900000, now - startedAgoMs, walk);
  const cols = raw.prepare("SELECT name, type, \"notnull\" nn, dflt_value d FROM pragma_table_info('sign_ups')").all();
  if (count === 3) console.log(JSON.stringify(cols), JSON.stringify(raw.prepare("SELECT name, type, \"notnull\" nn, dflt_value d FROM pragma_table_info('party_members')").all()));
  const who: string[] = [];
  for (let i = 0; i < count; i += 1) {
    const name = `${first[i % 10]} ${last[(i * 3 + Math.floor(i / 10)) % 10]}`;
    const minor = i % 8 === 1;
    const s = minor ? null : raw.prepare("INSERT INTO sign_ups (walk_id, state, name, email, phone, party_size, post_mark, token_hash, rules_text_id, rules_agreed_at, created_at, phone_typed) SELECT ?, 'confirmed', ?, ?, '+12025550123', 1, 'm'||?||'-'||?, 'h'||?||'-'||?, min(id), 1, 1, '(202) 555-0123' FROM texts WHERE kind='rules'");
    if (s) { signUp = Number(s.run(walk, name, `x${walk}-${i}@w.example`, walk, i, walk, i).lastInsertRowid); }
    const id = Number(raw.prepare('INSERT INTO party_members (sign_up_id, name, minor, guardian_id) VALUES (?,?,?,?)').run(signUp, name, minor ? 1 : 0, minor ? guardian : null).lastInsertRowid);
    if (!minor) guardian = id;
    who.push(`m${id}`);
  }
  return who;
}
let signUp = 0, guardian = 0, n = 0;
const log = new Map<number, Entry[]>();
function say(walk: number, who: string, said: Said, ago = 0, fork = false) {
  const mine = log.get(walk) ?? [];
  log.set(walk, mine);
  const after = fork ? [] : standing(mine.filter((e) => e.who === who)).heads;
  const entry = { entry: `look-roll-entry-${n++}`, who, said, after };
  mine.push(entry);
  demo.db.write((tx) => keepEntries(tx, walk, [{ ...entry, device: 'look-device', deviceAt: now - ago, sentAt: now, receivedAt: now, byPersonId: lead.id }]));
}
const [a, b, c] = walks.map((w) => w.id) as [number, number, number];
const three = lay(a, 3, -600000);
say(a, three[2]!, { kind: 'arrived' }, 60000);
say(a, three[1]!, { kind: 'arrived' }, 60000);
const forty = lay(b, 40, 3600000 * 1.6);
const m = 60000;
for (const [i, w] of forty.entries()) {
  if (i > 36) continue;
  say(b, w, i === 5 ? { kind: 'not walking' } : { kind: 'arrived' }, 110 * m);
}
say(b, 'back', { kind: 'back', who: forty[6]! }, 100 * m);
say(b, 'group', { kind: 'group', at: 'set off' }, 94 * m);
for (const [i, w] of forty.entries()) if (i <= 36 && i !== 5) say(b, w, { kind: 'set off' }, 94 * m);
say(b, 'group', { kind: 'group', at: 'stop', stop: 1 }, 50 * m);
for (const [i, w] of forty.entries()) if (i <= 36 && i !== 5 && i !== 12) say(b, w, { kind: 'stop', stop: 1 }, 49 * m);
say(b, forty[0]!, { kind: 'left', stop: 1, told: 'leader', home: 'bus or train' }, 45 * m);
say(b, forty[20]!, { kind: 'left', stop: 1, told: 'co-leader', home: 'taxi' }, 45 * m);
say(b, forty[20]!, { kind: 'stop', stop: 2 }, 5 * m, true);
say(b, 'group', { kind: 'group', at: 'stop', stop: 2 }, 6 * m);
for (const [i, w] of forty.entries()) if (i > 24 && i <= 36) say(b, w, { kind: 'stop', stop: 2 }, 3 * m);
const many = lay(c, 150, 3600000 * 3);
for (const [i, w] of many.entries()) { if (i % 30 === 29) continue; say(c, w, { kind: 'arrived' }, 200 * m); say(c, w, { kind: 'set off' }, 180 * m); }
say(c, 'back', { kind: 'back', who: `p${co.id}` }, 185 * m);
say(c, 'group', { kind: 'group', at: 'set off' }, 180 * m);
say(c, 'group', { kind: 'group', at: 'stop', stop: 1 }, 100 * m);
say(c, 'group', { kind: 'group', at: 'stop', stop: 2 }, 60 * m);
const shots: [string, string, number, 'light' | 'dark', boolean][] = [
  ['three', `/lead/walks/${a}/roll`, 390, 'light', true],
  ['three', `/lead/walks/${a}/roll`, 320, 'dark', true],
  ['forty', `/lead/walks/${b}/roll`, 390, 'light', true],
  ['forty', `/lead/walks/${b}/roll`, 390, 'dark', false],
  ['forty', `/lead/walks/${b}/roll`, 320, 'light', false],
  ['forty', `/lead/walks/${b}/roll`, 1280, 'light', false],
  ['person', `/lead/walks/${b}/roll?who=${forty[12]}`, 390, 'light', true],
  ['guardian', `/lead/walks/${b}/roll?who=${forty[8]}`, 390, 'light', true],
  ['many', `/lead/walks/${c}/roll`, 390, 'light', false],
  ['many', `/lead/walks/${c}/roll`, 1280, 'dark', false],
];
for (const [name, path, width, scheme, full] of shots) {
  if (process.argv[2] && !name.includes(process.argv[2])) continue;
  const page = await demo.open('leader', { viewport: { width, height: width > 1000 ? 900 : 844 }, colorScheme: scheme, deviceScaleFactor: 1 });
  const answer = await page.goto(path);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  const small = await page.evaluate(() => [...document.querySelectorAll('main button, main a, main select, main summary')].map((e) => { const r = e.getBoundingClientRect(); return [Math.round(r.height), (e.textContent ?? '').trim().slice(0, 30)] as const; }).filter(([h]) => h > 0 && h < 44));
  console.log(name, width, scheme, answer?.status(), 'scrollWidth', wide, 'bytes', (await answer?.body())?.length, 'small', JSON.stringify(small.slice(0, 6)));
  await page.screenshot({ path: `${OUT}/roll-${name}-${width}-${scheme}.png`, fullPage: full });
  await page.context().close();
}
await demo.close();
