import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { notices } from '../../server/db/schema/index.js';
import { dayWords } from '../../server/notices/day-words.js';
import { mailMaker } from '../../server/notices/mail.js';
import { oweReminders, oweTest } from '../../server/notices/owe.js';
import { groupSettings } from '../../server/settings/rules.js';
import { saveSettings } from '../../server/settings/store.js';
import { cancelWalk, oweContext } from '../../server/walks/save.js';
import { Browser } from '../support/browser.js';
import { walkFacts } from '../support/cast.js';
import { calendarOf, parsed } from '../support/mail-sink.js';
import { read } from './calendar-sample.js';
import { closeStage, HOUR, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

const GATHER = Date.UTC(2026, 11, 5, 13, 45);
const arrived = () => parsed(stage.sink.mails.at(-1));
const plain = (text: string | undefined) => (text ?? '').replace(/[\u00a0\u202f]/g, ' ');

describe('the reminder', () => {
  async function remind(at: number) {
    stage.signUp('ana@walkers.example', 'Ana');
    await stage.deliver();
    stage.site.clock.now = at;
    stage.site.db.write((tx) => oweReminders(tx, oweContext(stage.site.services)));
    await stage.deliver();
    return arrived();
  }

  it('says which day in subject and first line, and gives the number to ring first', async () => {
    const { subject, text, html } = await remind(GATHER - 24 * HOUR);
    expect(subject).toBe('Tomorrow, Sat, Dec 5: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(text).toMatch(/^Your walk is tomorrow, Sat, Dec 5, Ana\./);
    expect(text).toContain('In an emergency ring 911 first.');
    expect(html).toContain('href="tel:911"');
  });

  it('says today on the day itself', async () => {
    expect((await remind(GATHER - 3 * HOUR)).subject).toMatch(/^Today, Sat, Dec 5:/);
  });

  it('goes by the days of the place, not by hours', () => {
    const settings = groupSettings.parse({});
    const night = walkFacts({ gather: '00:30', setOff: '01:00' });
    expect(dayWords(night.gatherAt - 30 * MINUTE, night, settings)).toBe('today, Sat, Dec 5');
    expect(dayWords(night.gatherAt - 30 * MINUTE - 1, night, settings)).toBe('tomorrow, Sat, Dec 5');
    // Sunday, March 14 has 23 hours.
    const early = walkFacts({ date: '2027-03-15', gather: '00:15', setOff: '01:00' });
    expect(dayWords(early.gatherAt - 24 * HOUR, early, settings)).toBe('on Mon, Mar 15');
  });
});

describe('when a mail was written', () => {
  it('is when its content was last: of an edit merged in the hold, the second', async () => {
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(2 * MINUTE);
    stage.edit({ meetingPoint: 'North gate' });
    const second = stage.site.clock.now;
    stage.sink.script('rcpt', 450);
    stage.pass(3 * MINUTE);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    await stage.deliver();
    const mail = await arrived();
    expect(mail.text).toContain('North gate');
    expect(mail.date?.getTime()).toBe(second);
    expect(String(read(calendarOf(mail)).value('dtstamp'))).toBe(`${new Date(second).toISOString().slice(0, 19)}Z`);
  });
});

describe('the entry in the calendar', () => {
  it("of a walker has the set-off, the leader's number and the private link; nobody else's has", async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    const lines = plain(String(read(calendarOf(await arrived())).value('description'))).split('\n');
    expect(lines).toEqual([
      'Set off: Sat, Dec 5, 2026, 9:00 AM EST',
      'Leader: Lena Marsh, +1 202 555 0110',
      expect.stringMatching(
        /^Change your party or withdraw \(this link is private\): http:\/\/[^ ]+\/sign-ups\/[\w-]{43}\?mail=[\w-]{16}$/,
      ),
      expect.stringMatching(/\/walks\/\d+$/),
    ]);
    const [row] = stage.noticesOf(ana);
    if (!row) throw new Error('no notice');
    expect(JSON.stringify(row.content)).not.toContain('sign-ups/');
    const { makeWithoutSecrets } = mailMaker(stage.site.services, stage.site.views);
    expect(makeWithoutSecrets(row).calendar?.body).not.toContain('sign-ups/');
    for (const path of [`/walks/${stage.walkId}.ics`, '/calendar.ics'])
      expect((await new Browser(stage.site.app).get(path)).text).not.toMatch(/Lena|555|sign-ups/);
  });

  it('is its own for each walker of one walk', async () => {
    stage.signUp('ana@walkers.example');
    stage.signUp('bo@walkers.example', 'Bo');
    await stage.deliver();
    const links = (await Promise.all(stage.sink.mails.map(parsed))).map(
      (mail) => /sign-ups\/[\w-]{43}/.exec(String(read(calendarOf(mail)).value('description')))?.[0],
    );
    expect(new Set(links).size).toBe(2);
  });

  it('of a cancelled walk says why, and no more', async () => {
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'other', reason: 'Leader is ill' });
    await stage.deliver();
    expect(read(calendarOf(await arrived())).value('description')).toMatch(/^Cancelled: Leader is ill\nhttp\S+\/walks\/\d+$/);
  });
});

describe('what is not said, or said in other units', () => {
  it('no climb is no line about it', async () => {
    stage.edit({ ascentMetres: 0 });
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    const { text, html } = await arrived();
    expect(text).toContain('8.2 mi, pavement');
    expect(`${text}${html}`).not.toMatch(/climb/);
    stage.edit({ ascentMetres: 158.5 }, true);
    stage.pass(HOUR);
    await stage.deliver();
    expect((await arrived()).text).toMatch(/Climb\s+before: not said\s+now: {4}520 ft/);
  });

  it('a group that counts in kilometres reads of no mile and no foot', async () => {
    stage.site.db.write((tx) => saveSettings(tx, { units: 'km' }));
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ distanceMetres: 20_000, ascentMetres: 300 }, true);
    stage.pass(HOUR);
    await stage.deliver();
    stage.site.clock.now = GATHER - 24 * HOUR;
    stage.site.db.write((tx) => oweReminders(tx, oweContext(stage.site.services)));
    const { make } = mailMaker(stage.site.services, stage.site.views);
    const rows = stage.site.db.q.select().from(notices).all();
    expect(rows.map((row) => row.kind)).toEqual(['confirmation', 'change', 'reminder']);
    for (const mail of rows.map(make))
      expect(`${mail.subject}\n${mail.text}\n${mail.calendar?.body}`).not.toMatch(/\bmiles?\b|\bmi\b|\bft\b/i);
  });
});

describe('the test mail', () => {
  it.each([
    ['is sent', 'smtp://127.0.0.1:9', /Did it reach your mailbox\? Then mail works/, /No mail server/],
    ['is kept', '', /No mail server is set \(SMTP_URL\), so this mail reached nobody/, /mail works|arrived/i],
  ])('that %s is told truly', async (_, SMTP_URL, says, saysNot) => {
    await closeStage(stage);
    stage = await openStage({ SMTP_URL });
    const { services, views, db } = stage.site;
    db.write((tx) => oweTest(tx, oweContext(services), { name: 'Cora', email: 'coordinator@waymeet.example' }));
    for (const row of db.q.select().from(notices).all()) {
      const { text, html } = mailMaker(services, views).make(row);
      expect(text).toMatch(says);
      expect(text + html).not.toMatch(saysNot);
    }
  });
});
