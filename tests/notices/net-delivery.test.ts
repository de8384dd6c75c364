import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { withdrawSignUp } from '../../server/signups/store.js';
import { cancelWalk } from '../../server/walks/save.js';
import { calendarOf, parsed } from '../support/mail-sink.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
let ana: number;
beforeEach(async () => {
  stage = await openStage();
  ana = stage.signUp('ana@walkers.example');
  await stage.deliver();
});
afterEach(() => closeStage(stage));

describe('edits become one right mail', () => {
  it('confirms a sign-up at once', async () => {
    expect(stage.story(ana)).toBe('confirmation sent');
    expect(stage.told(ana)).toBe(1);
    const mail = await parsed(stage.sink.mails[0]);
    expect(mail.subject).toBe("You're coming: 8-mile walk: Quarry Lakes loop, Lantern Hills");
    expect(mail.text).toMatch(/\/sign-ups\/[\w-]{43}\?mail=[\w-]{16}\n/);
    expect(calendarOf(mail)).toContain('METHOD:REQUEST');
  });

  it('three edits within a minute are one mail with the net difference, after the hold', async () => {
    for (const gather of ['08:30', '08:15', '08:00']) {
      stage.edit({ gather });
      stage.pass(20_000);
    }
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change pending');
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(2);
    const text = (await parsed(stage.sink.mails[1])).text ?? '';
    expect(text).toMatch(/before: Sat, Dec 5, 2026, 8:45.AM EST\s+now: {4}Sat, Dec 5, 2026, 8:00.AM EST/);
    expect(text).not.toMatch(/8:30|8:15/);
    expect(stage.told(ana)).toBe(4);
  });

  it('an edit that is put back within the hold is no mail', async () => {
    stage.edit({ gather: '08:00' });
    stage.edit({ gather: '08:45' });
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent');
  });

  it('an edit that is put back after it was told is told again', async () => {
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    stage.edit({ gather: '08:45' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent, change sent');
    expect((await parsed(stage.sink.mails[2])).text).toMatch(/before: .*8:00.AM EST\s+now: {4}.*8:45.AM EST/);
  });

  it('edits that go on are held nine minutes at most', async () => {
    for (let minute = 0; minute <= 9; minute += 2) {
      stage.edit({ landmark: `gate ${minute}` });
      stage.pass(2 * MINUTE);
      await stage.deliver();
    }
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
    expect((await parsed(stage.sink.mails[1])).text).toContain('gate 8');
  });

  it('nothing is held where gathering is within a day, before or after', async () => {
    stage.edit({ date: '2026-11-26', gather: '06:00', setOff: '06:30' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
  });

  it('raises SEQUENCE and keeps the UID', async () => {
    stage.edit({ meetingPoint: 'North gate' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    const [first, second] = (await Promise.all(stage.sink.mails.map(parsed))).map(calendarOf).map(unfold);
    const field = (text: string | undefined, name: string) => new RegExp(`^${name}[:;](.*)$`, 'm').exec(text ?? '')?.[1]?.trim();
    expect(field(second, 'UID')).toBe(field(first, 'UID'));
    expect([field(first, 'SEQUENCE'), field(second, 'SEQUENCE')]).toEqual(['0', '1']);
  });

  it('tells what need not be told only where the leader asks, and then with later edits too', async () => {
    stage.edit({ surfaces: ['sand'] });
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent');
    stage.edit({ surfaces: ['gravel'] }, true);
    stage.edit({ meetingPoint: 'North gate' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    const text = (await parsed(stage.sink.mails[1])).text ?? '';
    expect(text).toMatch(/Underfoot\s+before: pavement\s+now: {4}gravel/);
    expect(text).toMatch(/Meeting point\s+before: Weir car park\s+now: {4}North gate/);
  });

  it('tells those who wait, too, without a calendar entry', async () => {
    const party = stage.signUp('bo@walkers.example', 'Bo', 12);
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.story(party)).toBe('waiting sent, change sent');
    const mail = await parsed(stage.sink.mails.find((one) => one.to[0] === 'bo@walkers.example' && one.raw.includes('New time')));
    expect(mail.text).toContain('still on the waiting list');
    expect(calendarOf(mail)).toBe('');
  });

  it('doing it twice owes once', async () => {
    const { db, services } = stage.site;
    stage.edit({ gather: '08:00' });
    const { oweChanges } = await import('../../server/notices/owe.js');
    const context = { now: services.now(), settings: services.settings(), config: services.config };
    db.write((tx) => oweChanges(tx, context, stage.walkId, { offered: false }));
    stage.pass(3 * MINUTE);
    await stage.deliver();
    db.write((tx) => oweChanges(tx, { ...context, now: services.now() }, stage.walkId, { offered: false }));
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
  });
});

describe('cancelling and withdrawing overtake', () => {
  it('a cancelled walk owes one cancellation in place of what waits', async () => {
    stage.edit({ gather: '08:00' });
    cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'safety', reason: 'Storm warning' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change replaced, cancellation sent');
    const mail = await parsed(stage.sink.mails[1]);
    expect(mail.text).toMatch(/^This walk is cancelled for safety/);
    expect(mail.text).toContain('Storm warning');
    expect(unfold(calendarOf(mail))).toMatch(/METHOD:CANCEL[\s\S]*STATUS:CANCELLED/);
  });

  it('someone who withdrew hears that, and nothing of later edits', async () => {
    stage.edit({ gather: '08:00' });
    withdrawSignUp(stage.site.services, ana);
    stage.edit({ gather: '07:00' });
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change replaced, withdrawal sent');
  });

  it('a freed place that goes after an edit does not hide the change', async () => {
    const party = stage.signUp('bo@walkers.example', 'Bo', 12);
    await stage.deliver();
    withdrawSignUp(stage.site.services, ana);
    stage.edit({ gather: '08:00' });
    await stage.deliver();
    expect(stage.story(party)).toBe('waiting sent, place-freed sent, change pending');
    stage.pass(3 * MINUTE);
    await stage.deliver();
    expect(stage.subjects().at(-1)).toContain('New time');
    expect(stage.told(party)).toBe(2);
  });

  it('a freed place is told to the party that gets it', async () => {
    const party = stage.signUp('bo@walkers.example', 'Bo', 12);
    withdrawSignUp(stage.site.services, ana);
    await stage.deliver();
    // The mail that they wait never went out, so it does not go any more.
    expect(stage.story(party)).toBe('waiting replaced, place-freed sent');
    expect(stage.subjects().at(-1)).toContain('You have a place');
  });
});

describe('reminders', () => {
  const gather = Date.UTC(2026, 11, 5, 13, 45);
  async function remind(): Promise<number> {
    const { oweReminders } = await import('../../server/notices/owe.js');
    const { db, services } = stage.site;
    return db.write((tx) => oweReminders(tx, { now: services.now(), settings: services.settings(), config: services.config }));
  }
  const goTo = (at: number) => {
    stage.site.clock.now = at;
  };

  it('are owed from a day before gathering, once', async () => {
    goTo(gather - DAY - 1);
    expect(await remind()).toBe(0);
    goTo(gather - DAY);
    expect(await remind()).toBe(1);
    expect(await remind()).toBe(0);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, reminder sent');
    expect((await parsed(stage.sink.mails[1])).text).toContain('+1 202 555 0110');
  });

  it('are not owed to those who signed up within the day, nor to those told of a change within it', async () => {
    goTo(gather - DAY);
    stage.signUp('bo@walkers.example', 'Bo');
    stage.edit({ landmark: 'by the weir' });
    expect(await remind()).toBe(0);
  });

  it('are taken back where the day moves away, and owed again on the new one', async () => {
    goTo(gather - DAY);
    expect(await remind()).toBe(1);
    stage.edit({ date: '2026-12-12' });
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
    goTo(gather + 6 * DAY);
    expect(await remind()).toBe(1);
  });

  it('that wait give way to news of a change', async () => {
    goTo(gather - DAY);
    await remind();
    stage.edit({ gather: '08:00' });
    expect(await remind()).toBe(0);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, change sent');
    expect((await parsed(stage.sink.mails[1])).text).toContain('+1 202 555 0110');
  });
});

function unfold(calendar: string): string {
  return calendar.replace(/\r?\n[ \t]/g, '');
}
